// What a phone is told of tags: codes on things it knows, codes free to be bound, and ended ones.
import { sql } from 'kysely'
import type { SnapshotCodeShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'

/** Most free codes that are told, those printed last. */
const FREE_CODE_LIMIT = 20_000

/**
 * The codes on these lots and their bundles, and those on things of other kinds. `touched` narrows
 * the others to codes that it names and codes on ids that it names; null asks for all, and for
 * every code that was printed, or spoiled, and never bound. A code of which nothing is known any
 * more is told so, not left out.
 */
export async function readSnapshotCodes(
  db: Database,
  lotIds: readonly string[],
  touched: { ids: ReadonlySet<string>; codes: ReadonlySet<string> } | null,
): Promise<SnapshotCodeShape[]> {
  const ofLots = sql`
    select code from tag_binding where thing_id = any(${lotIds}::uuid[])
    union
    select t.code from (
      select distinct on (bundle_id) bundle_id, lot_id from bundle
      where bundle_id in (select b.bundle_id from bundle b where b.lot_id = any(${lotIds}::uuid[]))
      order by bundle_id, occurred_at, entry_id, line
    ) first join tag_binding t on t.thing_id = first.bundle_id
    where first.lot_id = any(${lotIds}::uuid[])`
  const others =
    touched === null
      ? sql`
        select code from tag_binding where thing_kind not in ('lot', 'bundle')
        union
        select code from (
          select code from tag_print p
          where not exists (select 1 from tag_binding b where b.code = p.code)
            and not exists (select 1 from tag_end e where e.code = p.code)
          group by code order by max(occurred_at) desc, code limit ${FREE_CODE_LIMIT}
        ) free
        union
        select code from tag_end e
        where not exists (select 1 from tag_binding b where b.code = e.code)`
      : sql`
        select unnest(${[...touched.codes]}::text[]) as code
        union
        select code from tag_binding
        where thing_id = any(${[...touched.ids]}::uuid[]) and thing_kind not in ('lot', 'bundle')`
  return readCodes(db, sql`${ofLots} union ${others}`)
}

type BindingRow = { code: string; thing_kind: string; thing_id: string; at: Date }

async function readCodes(db: Database, wanted: ReturnType<typeof sql>) {
  const codes = await sql<{ code: string; printed: boolean }>`
    select code, exists (select 1 from tag_print p where p.code = wanted.code) as printed
    from (${wanted}) wanted order by code`.execute(db)
  const any = sql`any(${codes.rows.map(({ code }) => code)}::text[])`
  const told = new Map<string, SnapshotCodeShape>(
    codes.rows.map(({ code, printed }) => [code, { code, printed, bindings: [], ends: [] }]),
  )
  const bindings = await sql<BindingRow>`
    select code, thing_kind, thing_id, occurred_at as at from tag_binding where code = ${any}
    order by code, occurred_at, entry_id`.execute(db)
  for (const { code, thing_kind, thing_id, at } of bindings.rows) {
    told.get(code)?.bindings.push([thing_kind, thing_id, at.getTime()])
  }
  const ends = await sql<{ code: string; how: string; at: Date }>`
    select code, how, occurred_at as at from tag_end where code = ${any}
    order by code, occurred_at, entry_id`.execute(db)
  for (const { code, how, at } of ends.rows) told.get(code)?.ends.push([how, at.getTime()])
  return [...told.values()]
}
