// Reads what was seen of a source when somebody looked, and refuses what cannot have been seen.
import { sql } from 'kysely'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import type { FieldProblem } from '../platform/errors.ts'

export const inspectionKinds = [
  'visual inspection',
  'isolation',
  'trueness to type',
  'records',
  'other',
] as const
export const inspectionResults = ['in order', 'not in order', 'not decided'] as const

/** One inspection as it was entered; `party` is null when the nursery looked itself. */
export type InspectionRow = {
  entry_id: string
  source_id: string
  kind: string
  inspected_on: string
  party: string | null
  result: string
  isolation_metres: number | null
  nearby: string
  note: string
}

/** The inspections of these sources, the latest first. */
export async function readInspections(
  db: Database,
  sourceIds: readonly string[],
): Promise<InspectionRow[]> {
  const { rows } = await sql<InspectionRow>`
    select i.entry_id, i.source_id, i.kind, i.inspected_on,
      case when i.party_id is null then null else coalesce((
        select p.name from party p where p.party_id = i.party_id
        order by p.occurred_at desc, p.entry_id desc limit 1
      ), 'not registered here') end as party,
      i.result, i.isolation_metres, i.nearby, i.note
    from source_inspection i where i.source_id = any(${[...sourceIds]}::uuid[])
    order by i.inspected_on desc, i.occurred_at desc, i.entry_id desc`.execute(db)
  return rows
}

/** Nobody has seen what is still to come; what was seen near has a distance. */
export function inspectionProblems(
  body: { inspectedOn: string; isolationMetres: number | null; kind: string },
  now: Date,
  zone: string,
): FieldProblem[] {
  const problems: FieldProblem[] = []
  if (body.inspectedOn > localDay(now.getTime(), zone)) {
    const message = 'this day is still to come: give the day of the inspection'
    problems.push({ field: 'inspectedOn', message })
  }
  if (body.kind === 'isolation' && body.isolationMetres === null) {
    const message = 'give the distance that was measured, or choose another kind'
    problems.push({ field: 'isolationMetres', message })
  }
  return problems
}
