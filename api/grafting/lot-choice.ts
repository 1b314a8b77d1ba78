// Finds the lot that a person means by its reference.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A lot by its first entry, as a form needs it. */
export type LotNamed = {
  lot_id: string
  reference: string
  material: string
  variety_id: string
  variety: string | null
  clone: string | null
  scheme: string | null
  class: string | null
  buds_per_stick: number
  made_at: Date
}

/** The lots with this reference; capitals make no difference. Usually one. */
export function lotsByReference(db: Database, reference: string): Promise<LotNamed[]> {
  return lotsWhere(
    db,
    sql`l.lot_id in (select lot_id from lot where lower(reference) = ${reference.toLowerCase()})`,
  )
}

/** Lots by their ids. */
export async function lotsById(db: Database, lotIds: readonly string[]): Promise<LotNamed[]> {
  if (lotIds.length === 0) return []
  return lotsWhere(db, sql`l.lot_id = any(${lotIds}::uuid[])`)
}

/** The latest `limit` references of lots that could be planted or grafted, to pick from. */
export async function recentReferences(db: Database, limit = 200): Promise<string[]> {
  const rows = await sql<{ reference: string }>`
    select reference from lot order by occurred_at desc limit ${limit}`.execute(db)
  return [...new Set(rows.rows.map((row) => row.reference))]
}

async function lotsWhere(db: Database, condition: ReturnType<typeof sql>): Promise<LotNamed[]> {
  const rows = await sql<LotNamed>`
    select distinct on (l.lot_id) l.lot_id, l.reference, l.material, l.variety_id,
      v.name as variety, l.clone, l.scheme, l.class, l.buds_per_stick, l.occurred_at as made_at
    from lot l left join variety_now v on v.variety_id = l.variety_id
    where ${condition} order by l.lot_id, l.occurred_at, l.entry_id, l.line`.execute(db)
  return rows.rows
}
