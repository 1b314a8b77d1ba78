// The first things to enter in a new nursery, and which of them are done.
import { sql } from 'kysely'
import type { Database } from '../../../db/connect.ts'

/** One step, where to do it, and whether it was done. */
export type FirstStep = { label: string; href: string; done: boolean }

const steps = [
  { table: 'nursery', label: 'Describe the nursery', href: '/nursery' },
  { table: 'variety', label: 'Enter the varieties', href: '/nursery/varieties' },
  { table: 'place', label: 'Register the cold store', href: '/store' },
  { table: 'source', label: 'Register the source blocks', href: '/sources' },
  { table: 'block', label: 'Lay out the blocks, by hand or from a CSV file', href: '/blocks' },
  { table: 'lot', label: 'Cut or receive the first lot', href: '/lots/cut' },
] as const

/** The steps in their order. */
export async function readFirstSteps(db: Database): Promise<FirstStep[]> {
  const counts = steps.map(({ table }) => sql`exists (select 1 from ${sql.table(table)})`)
  const row = await sql<{ done: boolean[] }>`
    select array[${sql.join(counts)}] as done`.execute(db)
  return steps.map(({ label, href }, nr) => ({ label, href, done: row.rows[0]?.done[nr] ?? false }))
}
