// Baths: one filling of a tank each, from filling to emptying.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

export type Bath = {
  bathId: string
  tankId: string
  tankName: string
  water: string
  waterTempC: number | null
  disinfectant: string | null
  litres: number | null
  filledAt: Date
  emptiedAt: Date | null
}

/** Most baths on one page. */
export const BATH_PAGE = 100

/** Baths that stand filled now, the oldest filling first. */
export function readStandingBaths(db: Database): Promise<Bath[]> {
  return select(db, sql`e.emptied_at is null`, sql`b.filled_at`)
}

/** Baths emptied, the last emptied first. */
export function readEmptiedBaths(db: Database): Promise<Bath[]> {
  return select(db, sql`e.emptied_at is not null`, sql`e.emptied_at desc`)
}

/** One bath, or null when none is known by this id. */
export async function readBath(db: Database, bathId: string): Promise<Bath | null> {
  const baths = await select(db, sql`b.bath_id = ${bathId}`, sql`b.filled_at`)
  return baths[0] ?? null
}

async function select(
  db: Database,
  where: ReturnType<typeof sql>,
  order: ReturnType<typeof sql>,
): Promise<Bath[]> {
  const rows = await sql<Bath>`
    select b.bath_id as "bathId", b.place_id as "tankId", coalesce(p.name, 'a tank') as "tankName",
      b.water, b.water_temp_c as "waterTempC", b.disinfectant, b.litres,
      b.filled_at as "filledAt", e.emptied_at as "emptiedAt"
    from (select distinct on (bath_id) * from bath order by bath_id, filled_at, entry_id) b
    left join place_now p on p.place_id = b.place_id
    left join lateral (select min(emptied_at) as emptied_at from bath_end
      where bath_end.bath_id = b.bath_id) e on true
    where ${where} order by ${order}, b.bath_id limit ${BATH_PAGE}`.execute(db)
  return rows.rows
}
