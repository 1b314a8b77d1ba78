// The tables of what stands in the rows: trunks, grafts by row and lot, and vine by vine.
import { localDay } from '#trade/zone-time.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import type { GraftLine } from './scope.ts'

/** Trunks, grafts by row and lot, and every graft by itself. */
export function vineTables(facts: DossierFacts): DossierTable[] {
  return [trunks(facts), byRow(facts), vineByVine(facts)]
}

function trunks(facts: DossierFacts): DossierTable {
  return {
    title: 'Trunks',
    note: 'Rootstocks and interstocks as they are on record, with the origin of each layer.',
    columns: ['Row', 'Positions', 'Layer', 'Variety', 'Clone', 'Origin', 'Planted'],
    rows: facts.scope.layers.map((layer) => ({
      cells: [
        facts.scope.rows.get(layer.row_id) ?? '',
        layer.from_position === layer.to_position
          ? String(layer.from_position)
          : `${layer.from_position} to ${layer.to_position}`,
        layer.role,
        layer.variety ?? 'not on record',
        layer.clone ?? '',
        layer.origin_id === null
          ? 'unknown'
          : `${layer.origin_kind} ${facts.name(layer.origin_id)}`,
        layer.planted_year === null ? '' : String(layer.planted_year),
      ],
      entries: facts.indexOf(layer.entry_id),
    })),
  }
}

function byRow(facts: DossierFacts): DossierTable {
  const groups = new Map<string, GraftLine[]>()
  for (const graft of facts.scope.grafts) {
    const key = `${graft.row_id} ${graft.lot_id}`
    groups.set(key, [...(groups.get(key) ?? []), graft])
  }
  return {
    title: 'Grafts by row and lot',
    note: 'Take is by the latest look at each graft; buds of removed grafts are among those set.',
    columns: ['Row', 'Lot', 'Variety', 'Grafts', 'Buds', 'Looked at', 'Growing', 'Still', 'Failed'],
    rows: [...groups.values()].map((grafts) => {
      const [first] = grafts
      const sum = (of: (graft: GraftLine) => number | null) =>
        String(grafts.reduce((total, graft) => total + (of(graft) ?? 0), 0))
      return {
        cells: [
          facts.scope.rows.get(first?.row_id ?? '') ?? 'row not on record',
          facts.name(first?.lot_id ?? ''),
          first?.variety ?? '',
          String(grafts.length),
          sum((graft) => graft.bud_count),
          sum((graft) => (graft.checked_at === null ? 0 : 1)),
          sum((graft) => graft.growing),
          sum((graft) => graft.callused),
          sum((graft) => graft.failed),
        ],
        entries: grafts.flatMap((graft) => graftEntries(facts, graft)),
      }
    }),
  }
}

function vineByVine(facts: DossierFacts): DossierTable {
  return {
    title: 'Grafts, vine by vine',
    note: 'The latest look at each graft; growing, callused but still, failed, by buds.',
    columns: [
      'Row',
      'Vine',
      'Lot',
      'Method',
      'Buds',
      'Grafted',
      'By',
      'Looked at',
      'Take',
      'Removed',
    ],
    rows: facts.scope.grafts.map((graft) => ({
      cells: [
        facts.scope.rows.get(graft.row_id) ?? 'row not on record',
        String(graft.position),
        facts.name(graft.lot_id),
        graft.method,
        String(graft.bud_count),
        localDay(graft.grafted_at.getTime(), facts.zone),
        facts.name(graft.person_id),
        graft.checked_at === null ? 'nobody yet' : localDay(graft.checked_at.getTime(), facts.zone),
        graft.checked_at === null ? '' : `${graft.growing} / ${graft.callused} / ${graft.failed}`,
        graft.removed_at === null ? '' : localDay(graft.removed_at.getTime(), facts.zone),
      ],
      entries: graftEntries(facts, graft),
    })),
  }
}

/** The graft's own entry, the latest look at it, and its removal. */
function graftEntries(facts: DossierFacts, graft: GraftLine): number[] {
  return [graft.graft_id, graft.check_id, graft.removal_id].flatMap((id) =>
    id === null ? [] : facts.indexOf(id),
  )
}
