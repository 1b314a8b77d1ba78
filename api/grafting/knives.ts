// The knives that carry a tag, so that what one blade touched can be told later.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A knife by the code of its tag. */
export type Knife = { knife_id: string; code: string }

/** Knives with a standing tag, by code. */
export async function listKnives(db: Database): Promise<Knife[]> {
  const rows = await sql<Knife>`
    select distinct on (b.thing_id) b.thing_id as knife_id, b.code
    from tag_binding b
    where b.thing_kind = 'knife' and not exists (select 1 from tag_end e where e.code = b.code)
    order by b.thing_id, b.occurred_at desc, b.entry_id desc`.execute(db)
  return rows.rows.sort((one, other) => (one.code < other.code ? -1 : 1))
}
