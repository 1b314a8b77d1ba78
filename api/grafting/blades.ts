// Which blade made a cut, and when it was disinfected, as the records have it.
import { sql } from 'kysely'
import type { RawBuilder } from 'kysely'
import type { Database } from '../../db/connect.ts'

/**
 * The blade of a graft (`g`) or of a disinfection (`c`), as SQL: the tagged knife, or else the
 * knife in the hand of that person.
 */
export const bladeOf = (row: 'g' | 'c'): RawBuilder<string> =>
  sql`coalesce(${sql.ref(`${row}.knife_id`)}, ${sql.ref(`${row}.person_id`)})`

/**
 * When each of the blades was disinfected from a moment on, in order of time (epoch milliseconds,
 * microseconds after the point). A blade that never was is not in it.
 */
export async function readCleanings(
  db: Database,
  blades: readonly string[],
  since: Date,
): Promise<Map<string, number[]>> {
  const cleaned = await sql<{ blade: string; at: number }>`
    select ${bladeOf('c')} as blade,
      (date_part('epoch', c.cleaned_at) * 1000000)::int8 as at
    from tool_cleaning c
    where ${bladeOf('c')} = any(${blades}::uuid[]) and c.cleaned_at >= ${since}
    order by c.cleaned_at`.execute(db)
  const cleanings = new Map<string, number[]>()
  for (const { blade, at } of cleaned.rows) {
    const times = cleanings.get(blade)
    if (times === undefined) cleanings.set(blade, [at / 1000])
    else times.push(at / 1000)
  }
  return cleanings
}
