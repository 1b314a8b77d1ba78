// The tables of vines that a recall reaches: whole by row, vine by vine as far as a page can hold.
import { localDay } from '#trade/zone-time.ts'
import type { RecalledRow, RecalledVine } from '../trace/recall-vines.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import type { ReachingGraft, RecallScope } from './recall-scope.ts'
import { spanText } from './spans.ts'

/** Vines that the table names one by one; the table by row has all of them. */
const VINE_ROW_LIMIT = 20_000

const hows = ['buds', 'trunk', 'blade'] as const

/** Every row with all its positions, by which way, and which entries of it are carried. */
export function reachedRows(facts: DossierFacts, scope: RecallScope): DossierTable {
  const byRow = grouped(scope.reach, ({ row_id }) => row_id)
  return {
    title: 'Vines that it may have reached, by row',
    note:
      'Every vine is here by its position. “Carried” tells how many of the entries of grafting ' +
      'that reach the row are in this file, each with its proof. The others are counted only: ' +
      'their places in the journal are told, a dossier of the row or block carries them, and the ' +
      'exported journal has them under these indexes.',
    columns: [
      'Row',
      'Vines',
      'By buds',
      'By the trunk',
      'By a blade',
      'Entries carried',
      'Counted only, by index',
    ],
    rows: scope.recall.rows.map((row) => {
      const reach = byRow.get(row.row_id) ?? []
      const carried = reach.flatMap(({ entry_id }) => facts.indexOf(entry_id))
      const kept = new Set(carried)
      const rest = reach.flatMap(({ journal_index: at }) => (kept.has(at) ? [] : [at]))
      return {
        cells: [
          rowName(facts, row),
          String(row.vines.length),
          ...hows.map((how) => positionsBy(row, how)),
          `${carried.length} of ${reach.length}`,
          spanText(rest) || 'none',
        ],
        entries: [...facts.restsOn('row', row.row_id), ...carried, ...layersOf(facts, row.row_id)],
      }
    }),
  }
}

const rowName = (facts: DossierFacts, row: RecalledRow) =>
  facts.scope.rows.get(row.row_id) ?? 'row not on record'

const positionsBy = (row: RecalledRow, how: RecalledVine['how']) =>
  spanText(row.vines.flatMap((vine) => (vine.how === how ? [vine.position] : [])))

function layersOf(facts: DossierFacts, rowId: string): number[] {
  return facts.scope.layers
    .filter((layer) => layer.row_id === rowId)
    .flatMap((layer) => facts.indexOf(layer.entry_id))
}

/** Vine by vine, with the entry by which it is reached or the word that it is counted only. */
export function reachedVines(facts: DossierFacts, scope: RecallScope): DossierTable {
  const { rows, vineCount } = scope.recall
  const byVine = grouped(scope.reach, vineKey)
  const vines = rows.flatMap((row) => row.vines.map((vine) => ({ row, vine })))
  const left = vineCount - VINE_ROW_LIMIT
  return {
    title: 'Vines that it may have reached, vine by vine',
    note:
      'Where several ways reach a vine, the surest is told.' +
      (left > 0 ? ` ${left} more stand in the table by row alone.` : ''),
    columns: ['Row', 'Vine', 'By', 'From', 'On', 'Its entry'],
    rows: vines.slice(0, VINE_ROW_LIMIT).map(({ row, vine }) => {
      const entries = vineEntries(facts, row, vine, byVine)
      return {
        cells: [
          rowName(facts, row),
          String(vine.position),
          vine.how,
          vine.viaId === null ? '' : facts.name(vine.viaId),
          vine.at === null ? '' : localDay(vine.at.getTime(), facts.zone),
          entries.length > 0 ? 'carried' : 'counted only',
        ],
        entries,
      }
    }),
  }
}

const vineKey = (vine: Pick<ReachingGraft, 'row_id' | 'position'>) =>
  `${vine.row_id} ${vine.position}`

function vineEntries(
  facts: DossierFacts,
  row: RecalledRow,
  { how, position, viaId }: RecalledVine,
  byVine: Map<string, ReachingGraft[]>,
): number[] {
  if (how === 'trunk') {
    return facts.scope.layers
      .filter((layer) => layer.row_id === row.row_id && layer.origin_id === viaId)
      .filter((layer) => layer.from_position <= position && position <= layer.to_position)
      .flatMap((layer) => facts.indexOf(layer.entry_id))
  }
  const grafts = byVine.get(vineKey({ row_id: row.row_id, position })) ?? []
  return grafts.flatMap(({ entry_id }) => facts.indexOf(entry_id))
}

function grouped(
  reach: readonly ReachingGraft[],
  keyOf: (graft: ReachingGraft) => string,
): Map<string, ReachingGraft[]> {
  const groups = new Map<string, ReachingGraft[]>()
  for (const graft of reach) {
    const key = keyOf(graft)
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [graft])
    else group.push(graft)
  }
  return groups
}
