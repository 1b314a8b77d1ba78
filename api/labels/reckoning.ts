// Reckons each print of labels: how many were bound, spoiled, replaced, and how many are not told.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One print. Codes are counted once each; `missing` is printed less the rest. */
export type PrintReckoning = {
  print_id: string
  occurred_at: Date
  payload: string
  form: string
  reprint_reason: string | null
  printed: number
  bound: number
  spoiled: number
  replaced: number
  missing: number
}

/** Most prints that are shown. */
export const RECKONING_LIMIT = 200

/**
 * The latest prints. A tag that stands on a thing is bound; one that ended is spoiled or replaced,
 * whether it was bound before or not. What is left is on the roll still, or lost: the records
 * cannot tell which.
 */
export async function reckonPrints(db: Database): Promise<PrintReckoning[]> {
  const { rows } = await sql<PrintReckoning>`
    with print as (
      select print_id, min(occurred_at) as occurred_at, min(payload) as payload,
        min(form) as form, min(reprint_reason) as reprint_reason
      from tag_print group by print_id order by 2 desc, 1 limit ${RECKONING_LIMIT}
    ), code as (
      select distinct p.print_id, t.code,
        (select e.how from tag_end e where e.code = t.code
          order by e.occurred_at, e.entry_id limit 1) as how,
        exists (select 1 from tag_now b where b.code = t.code) as is_bound
      from print p join tag_print t on t.print_id = p.print_id
    ), counted as (
      select print_id, count(*)::int as printed,
        count(*) filter (where how is null and is_bound)::int as bound,
        count(*) filter (where how = 'spoiled')::int as spoiled,
        count(*) filter (where how = 'replaced')::int as replaced
      from code group by print_id
    )
    select p.*, c.printed, c.bound, c.spoiled, c.replaced,
      c.printed - c.bound - c.spoiled - c.replaced as missing
    from print p join counted c on c.print_id = p.print_id
    order by p.occurred_at desc, p.print_id`.execute(db)
  return rows
}
