// Finds what the dossier of a recall tells of: all that is reached, and all that this is made of.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { ancestors } from '../trace/lineage.ts'
import { describeNodes } from '../trace/nodes.ts'
import { readRecall } from '../trace/recall.ts'
import type { Recall } from '../trace/recall.ts'
import { recallLabel, startLabel } from '../trace/recall-question.ts'
import { given } from '../trace/recall-steps.ts'
import type { RecallSubject } from './dossier-shape.ts'
import type { DossierScope, LayerLine } from './scope.ts'

/** An entry of a graft that reaches a vine; `place` is that of its row in the recall. */
export type ReachingGraft = {
  entry_id: string
  journal_index: number
  row_id: string
  position: number
  lot_id: string
  place: number
}

/** What a recall reaches, with the entries by which it does. */
export type RecallScope = {
  recall: Recall
  /** Where the agent was found, as people call it. */
  startName: string
  /** Every graft by which a vine is reached, row by row in the order of the recall. */
  reach: ReachingGraft[]
  /** Entries that tell of trunk layers that come of what is reached. */
  layerEntries: string[]
}

/** Reads it. Refuses with `not_found` when no entry tells of where the recall begins. */
export async function readRecallScope(db: Database, subject: RecallSubject): Promise<DossierScope> {
  const { question } = subject
  const { start } = question
  const startName = await startLabel(db, start)
  const recall = await readRecall(db, question)
  const own = [
    ...recall.sources.map((source) => source.source_id),
    ...recall.lots.map((lot) => lot.lot_id),
  ]
  const upstream = [
    ...recall.upstream.sources.map((source) => source.source_id),
    ...recall.upstream.lots.map((lot) => lot.lot_id),
  ]
  const first = start.kind === 'vine' ? [] : [start.id]
  const lineage = await ancestors(db, [...new Set([...first, ...own, ...upstream])])
  const nodes = await describeNodes(db, lineage.ids)
  const layers = await reachedLayers(db, own)
  const rows = recall.rows.map((row): [string, string] => [row.row_id, rowName(row)])
  if (start.kind === 'vine' && !rows.some(([id]) => id === start.rowId)) {
    rows.push([start.rowId, startName.replace(/^vine \d+ of /, '')])
  }
  return {
    subject,
    label: `Recall: ${await recallLabel(db, question)}`,
    rows: new Map(rows),
    blockId: null,
    grafts: [],
    layers,
    ...nodes,
    recall: {
      recall,
      startName,
      reach: await reachingGrafts(db, recall),
      layerEntries: [...new Set(layers.map(({ entry_id }) => entry_id))],
    },
  }
}

const rowName = ({ block, row_label, row_id }: Recall['rows'][number]) =>
  `${block === null ? '' : `${block}, `}row ${row_label ?? row_id}`

/** Grafts with reached wood since it was reached, cuts by a foul blade, and those at the start. */
async function reachingGrafts(db: Database, recall: Recall): Promise<ReachingGraft[]> {
  const { rows, lots, question } = recall
  const byBlade = rows.flatMap((row) =>
    row.vines.flatMap(({ how, at, position }) =>
      how === 'blade' && at !== null ? [{ rowId: row.row_id, position, at }] : [],
    ),
  )
  const { start } = question
  const found = await sql<ReachingGraft>`
    with given as (${given(lots.map((lot) => lot.reached))}),
    by_blade as (
      select * from unnest(${byBlade.map(({ rowId }) => rowId)}::uuid[],
        ${byBlade.map(({ position }) => position)}::int[],
        ${byBlade.map(({ at }) => at.toISOString())}::timestamptz[]) as v(row_id, position, at)
    ),
    reach as (
      select g.entry_id from given t join graft g on g.lot_id = t.id and g.grafted_at >= t.at
      union select g.entry_id from by_blade v join graft g on g.row_id = v.row_id
        and g.position = v.position and g.grafted_at = v.at
      union select entry_id from graft where row_id = ${start.kind === 'vine' ? start.rowId : null}
        and position = ${start.kind === 'vine' ? start.position : null}
    )
    select g.entry_id, e.journal_index, g.row_id, g.position, g.lot_id,
      coalesce(r.place, 0)::int as place
    from reach join graft g on g.entry_id = reach.entry_id join entry e on e.id = g.entry_id
      left join unnest(${rows.map((row) => row.row_id)}::uuid[]) with ordinality as r(id, place)
        on r.id = g.row_id
    order by place, g.position, e.journal_index`.execute(db)
  return found.rows
}

async function reachedLayers(db: Database, originIds: readonly string[]): Promise<LayerLine[]> {
  const { rows } = await sql<LayerLine>`
    select t.entry_id, t.row_id, t.from_position, t.to_position, t.role, v.name as variety,
      t.clone, t.origin_kind, t.origin_id, t.planted_year
    from trunk_layer t left join variety_now v on v.variety_id = t.variety_id
    where t.origin_id = any(${[...originIds]}::uuid[])
    order by t.row_id, t.from_position, t.layer_order`.execute(db)
  return rows
}
