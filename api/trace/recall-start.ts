// From when on an agent may have been where it was found: since the last clean test, or ever.
import { sql } from 'kysely'
import { findAgent } from '#trade/health-agents.ts'
import { startOfDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { SINCE_EVER } from './recall-spread.ts'

/** Where an agent was found. */
export type RecallStart =
  { kind: 'source' | 'lot'; id: string } | { kind: 'vine'; rowId: string; position: number }

/** A test of a source that looked for the agent. */
export type AgentTest = {
  entry_id: string
  source_id: string
  source: string
  agent: string
  method: string
  laboratory: string
  sampled_on: string
  pooled_vines: number
  result: string
}

/** Since when the agent may have been there, and by which test; null for no clean test before. */
export type CleanSince = { from: Date; test: AgentTest | null }

/** Do two names of agents mean the same one? */
export function isSameAgent(one: string, other: string): boolean {
  const known = findAgent(one)
  if (known !== null) return findAgent(other) === known
  return one.trim().toLowerCase() === other.trim().toLowerCase()
}

/**
 * Every test for the agent of a source, of the block it stands in and of the vines in it, the
 * latest first.
 */
export async function testsFor(
  db: Database,
  sourceId: string,
  agent: string,
): Promise<AgentTest[]> {
  const rows = await sql<AgentTest>`
    select t.entry_id, t.source_id, s.name as source, t.agent, t.method, t.laboratory,
      t.sampled_on, t.pooled_vines, t.result
    from source_standing_row s join source_test t on t.source_id = s.source_id
    where s.source_id = ${sourceId} or s.parent_source_id = ${sourceId}
      or s.source_id = (select parent_source_id from source_standing_row
        where source_id = ${sourceId})
    order by t.sampled_on desc, t.occurred_at desc, t.entry_id`.execute(db)
  return rows.rows.filter((test) => isSameAgent(test.agent, agent))
}

/**
 * The last test of the source itself before `foundOn` (ISO date) that did not detect the agent. Of
 * a vine, only tests of that vine clear it: a pooled sample of its block may have missed it. It
 * counts from the beginning of the day of its sample in the nursery's `zone`, so that wood cut
 * later on that day is drawn in.
 */
export function cleanSince(
  tests: readonly AgentTest[],
  { sourceId, foundOn, zone }: { sourceId: string; foundOn: string; zone: string },
): CleanSince {
  const test = tests.find(
    (one) =>
      one.source_id === sourceId && one.result === 'not detected' && one.sampled_on < foundOn,
  )
  if (test === undefined) return { from: SINCE_EVER, test: null }
  return { from: new Date(startOfDay(test.sampled_on, zone)), test }
}

/** A test that found something, from which a recall can begin. */
export type DetectedTest = AgentTest & { level: string }

/** Every test that detected an agent, the latest first. */
export async function detectedTests(db: Database): Promise<DetectedTest[]> {
  const rows = await sql<DetectedTest>`
    select t.entry_id, t.source_id, s.name as source, s.level, t.agent, t.method, t.laboratory,
      t.sampled_on, t.pooled_vines, t.result
    from source_test t join source_standing_row s on s.source_id = t.source_id
    where t.result = 'detected'
    order by t.sampled_on desc, t.occurred_at desc, t.entry_id limit 200`.execute(db)
  return rows.rows
}
