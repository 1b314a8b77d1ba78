// Lot references: what to suggest for the next lot, and which are taken.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { FieldProblem } from '../platform/errors.ts'

/**
 * The next `count` free references of a year: its last two digits, a hyphen and a running number
 * of at least three digits, like 27-014.
 */
export async function suggestReferences(
  db: Database,
  year: number,
  count: number,
): Promise<string[]> {
  const prefix = `${String(year % 100).padStart(2, '0')}-`
  const rows = await sql<{ last: number | null }>`
    select max(substr(reference, 4)::int) as last from lot
    where reference ~ ${`^${prefix}[0-9]{1,6}$`}`.execute(db)
  const last = rows.rows[0]?.last ?? 0
  return Array.from(
    { length: count },
    (_, nr) => `${prefix}${String(last + 1 + nr).padStart(3, '0')}`,
  )
}

/**
 * Refuses references that another lot has, or that are given twice here; capitals make no
 * difference. Each problem is at the field that the reference was typed in.
 */
export async function referenceProblems(
  db: Database,
  given: readonly { field: string; reference: string }[],
): Promise<FieldProblem[]> {
  const typed = given.filter(({ reference }) => reference !== '')
  const taken = await readTaken(
    db,
    typed.map(({ reference }) => reference.toLowerCase()),
  )
  const seen = new Set<string>()
  const problems: FieldProblem[] = []
  for (const { field, reference } of typed) {
    const key = reference.toLowerCase()
    if (taken.has(key)) {
      const message = `${reference} is another lot’s reference: choose another`
      problems.push({ field, message })
    } else if (seen.has(key)) {
      problems.push({ field, message: `${reference} is given twice: each lot has its own` })
    }
    seen.add(key)
  }
  return problems
}

async function readTaken(db: Database, keys: string[]): Promise<Set<string>> {
  if (keys.length === 0) return new Set()
  const rows = await sql<{ key: string }>`
    select distinct lower(reference) as key from lot
    where lower(reference) = any(${keys}::text[])`.execute(db)
  return new Set(rows.rows.map(({ key }) => key))
}
