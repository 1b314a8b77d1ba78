// Reads the open questions of a scope, each with the carried entries that it is about.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { findingInEnglish, idsIn } from '../custody/finding-words.ts'
import { readNames } from '../journal/names.ts'
import type { DossierEntry } from './entries.ts'
import type { DossierScope } from './scope.ts'
import type { Support } from './support.ts'

/** An open question in words. */
export type FindingLine = {
  code: string
  sentence: string
  scope: string
  /** Indexes of the carried entries that the question is about. */
  entries: number[]
}

type FoundLine = { code: string; scope_kind: string; scope_id: string; facts: unknown }

/** How entries are found by what they tell of. */
export type Told = {
  entries: readonly DossierEntry[]
  indexOf: (entryId: string) => number[]
  restsOn: (what: Support, key: string) => number[]
  steps: readonly { entry_id: string; lot_id: string }[]
}

/** Questions about the lots, sources, rows, grafts and devices of the scope that stand open. */
export async function readFindings(
  db: Database,
  scope: DossierScope,
  told: Told,
): Promise<FindingLine[]> {
  const ids = [
    ...scope.lots.map((lot) => lot.lot_id),
    ...scope.sources.map((source) => source.source_id),
    ...scope.rows.keys(),
    ...(scope.blockId === null ? [] : [scope.blockId]),
    ...scope.grafts.map((graft) => graft.graft_id),
    ...new Set(told.entries.map(({ deviceId }) => deviceId)),
  ]
  const { rows } = await sql<FoundLine>`
    select code, scope_kind, scope_id, facts from finding_open where scope_id = any(${ids}::text[])
    order by code, finding_key limit 1000`.execute(db)
  const names = await readNames(
    db,
    rows.flatMap(({ facts }) => idsIn(facts)),
  )
  return rows.map(({ code, scope_kind, scope_id, facts }) => {
    const { title, sentence } = findingInEnglish(code, facts, (id) => names.get(id) ?? id)
    const entries = entriesAbout(told, { scope_kind, scope_id, ids: idsIn(facts) })
    return { code: title, sentence, scope: scope_kind, entries }
  })
}

const looked = ['lot', 'source', 'test', 'standing', 'row', 'place', 'logger', 'hold'] as const

/**
 * The entries that the question names by their ids, or that tell of the things it names; of a
 * question about a device, its carried entries.
 */
function entriesAbout(
  { entries, indexOf, restsOn, steps }: Told,
  asked: { scope_kind: string; scope_id: string; ids: readonly string[] },
): number[] {
  if (asked.scope_kind === 'device') {
    return entries.flatMap(({ deviceId, index }) => (deviceId === asked.scope_id ? [index] : []))
  }
  const ids = new Set([...asked.ids, asked.scope_id])
  const named = [...ids].flatMap(indexOf)
  const things = [...ids].flatMap((id) => looked.flatMap((what) => restsOn(what, id)))
  const moved = steps.flatMap((step) => (ids.has(step.lot_id) ? indexOf(step.entry_id) : []))
  return [...new Set([...named, ...things, ...moved])].sort((one, other) => one - other)
}
