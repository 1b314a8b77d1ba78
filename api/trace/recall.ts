// A recall: what an agent may have reached from where it was found, and what cannot be known.
import { sql } from 'kysely'
import { findAgent, routesOf } from '#trade/health-agents.ts'
import type { Route } from '#trade/health-agents.ts'
import type { Database } from '../../db/connect.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import { ancestors } from './lineage.ts'
import { describeNodes } from './nodes.ts'
import type { LotNode, SourceNode } from './nodes.ts'
import { followAgent } from './recall-spread.ts'
import type { ReachedThing, Spread } from './recall-spread.ts'
import { cleanSince, testsFor } from './recall-start.ts'
import type { AgentTest, CleanSince, RecallStart } from './recall-start.ts'
import { readUnknowns } from './recall-unknowns.ts'
import type { Unknown } from './recall-unknowns.ts'
import { reachedRowVines } from './recall-vines.ts'
import type { RecalledRow } from './recall-vines.ts'

/** What is asked: where the agent was found, and when the sample was taken (ISO date). */
export type RecallQuestion = { start: RecallStart; agent: string; foundOn: string }

/** A lot that the agent may have reached, with the wood that is left of it. */
export type RecalledLot = LotNode & {
  reached: ReachedThing
  /** Buds that no entry has used, discarded or dispatched: loose ones and those on sticks. */
  buds_left: number
  /** A hold that stands on the lot itself for this agent, or for none in particular. */
  hold_id: string | null
}

/** A source that the agent may have reached. */
export type RecalledSource = SourceNode & { reached: ReachedThing; hold_id: string | null }

/** The answer to a recall's question. */
export type Recall = {
  question: RecallQuestion
  routes: ReadonlySet<Route>
  /** Is the agent one of those whose routes are known? If not, every route counts. */
  isKnownAgent: boolean
  since: CleanSince
  tests: AgentTest[]
  sources: RecalledSource[]
  lots: RecalledLot[]
  rows: RecalledRow[]
  vineCount: number
  /** What the start itself came of: to be tested, for the agent may have come from there. */
  upstream: { sources: SourceNode[]; lots: LotNode[] }
  unknowns: Unknown[]
  isComplete: boolean
}

/**
 * Follows the agent's routes from the start onwards (lineage, shared bath, blade between
 * disinfections, interstock, place where it matters), from the last clean test on.
 */
export async function readRecall(db: Database, question: RecallQuestion): Promise<Recall> {
  const { start, agent, foundOn } = question
  const routes = routesOf(agent)
  const tests = start.kind === 'source' ? await testsFor(db, start.id, agent) : []
  const sourceId = start.kind === 'source' ? start.id : ''
  const since = cleanSince(tests, { sourceId, foundOn, zone: await nurseryTimeZone(db) })
  const spread = await followAgent(db, routes, startOf(start, since))
  const [described, rows, upstream] = await Promise.all([
    describeThings(db, spread, agent),
    reachedRowVines(db, spread),
    describeUpstream(db, start),
  ])
  const recall = {
    question,
    routes,
    isKnownAgent: findAgent(agent) !== null,
    since,
    tests,
    ...described,
    rows,
    vineCount: rows.reduce((sum, row) => sum + row.vines.length, 0),
    upstream,
    isComplete: spread.isComplete,
  }
  return { ...recall, unknowns: await readUnknowns(db, recall) }
}

function startOf(start: RecallStart, since: CleanSince) {
  if (start.kind !== 'vine') return { things: [{ id: start.id, from: since.from }], vines: [] }
  const vine = { row_id: start.rowId, position: start.position, at: since.from }
  return { things: [], vines: [vine] }
}

async function describeThings(db: Database, spread: Spread, agent: string) {
  const ids = [...spread.things.keys()]
  const nodes = await describeNodes(db, ids)
  const [left, holds] = await Promise.all([readLeft(db, ids), readHolds(db, ids, agent)])
  const reachedOf = (id: string): ReachedThing => {
    const reached = spread.things.get(id)
    if (reached === undefined) throw new Error(`recall: ${id} was described but not reached`)
    return reached
  }
  return {
    sources: nodes.sources.map((source) => ({
      ...source,
      reached: reachedOf(source.source_id),
      hold_id: holds.get(source.source_id) ?? null,
    })),
    lots: nodes.lots.map((lot) => ({
      ...lot,
      reached: reachedOf(lot.lot_id),
      buds_left: left.get(lot.lot_id) ?? 0,
      hold_id: holds.get(lot.lot_id) ?? null,
    })),
  }
}

async function readLeft(db: Database, lotIds: string[]): Promise<Map<string, number>> {
  const rows = await sql<{ lot_id: string; buds: number }>`
    select b.lot_id, sum(b.count * case when b.unit = 'stick'
      then coalesce(l.buds_per_stick, 0) else 1 end)::int as buds
    from balance b join lot_first l on l.lot_id = b.lot_id
    where b.lot_id = any(${lotIds}::uuid[])
      and b.account_kind in ('place', 'bath', 'holder', 'unknown')
    group by 1`.execute(db)
  return new Map(rows.rows.map((row) => [row.lot_id, row.buds]))
}

/** Standing holds for this agent, or for all routes, by what they are on. */
async function readHolds(db: Database, ids: string[], agent: string): Promise<Map<string, string>> {
  const rows = await sql<{ hold_id: string; on_id: string; agent: string | null }>`
    select hold_id, on_id, agent from standing_hold where on_id = any(${ids}::uuid[])
    order by hold_id`.execute(db)
  const fitting = rows.rows.filter((hold) => isHoldFor(agent, hold.agent))
  return new Map(fitting.map((hold) => [hold.on_id, hold.hold_id]))
}

/** Is a hold on `held` (null: on everything) one for this agent, under any of its names? */
export function isHoldFor(agent: string, held: string | null): boolean {
  if (held === null || held === agent) return true
  const wanted = findAgent(agent)
  return wanted !== null && findAgent(held) === wanted
}

async function describeUpstream(db: Database, start: RecallStart) {
  const ids = start.kind === 'vine' ? await originsOfVine(db, start) : [start.id]
  const lineage = await ancestors(db, ids)
  const own = new Set(start.kind === 'vine' ? [] : ids)
  const { sources, lots } = await describeNodes(
    db,
    lineage.ids.filter((id) => !own.has(id)),
  )
  return { sources, lots }
}

async function originsOfVine(
  db: Database,
  { rowId, position }: { rowId: string; position: number },
): Promise<string[]> {
  const rows = await sql<{ id: string }>`
    select lot_id as id from graft where row_id = ${rowId} and position = ${position}
    union
    select origin_id from trunk_layer
    where row_id = ${rowId} and ${position} between from_position and to_position
      and origin_id is not null`.execute(db)
  return rows.rows.map((row) => row.id)
}
