// Tanks with the bath that stands in each, the room in it, and whether a hold stands on it.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One tank. `litres` are those of the bath in it, or of its last one where it stands empty. */
export type Tank = {
  tankId: string
  name: string
  /** Null where the tank stands empty. */
  bathId: string | null
  filledAt: Date | null
  disinfectant: string | null
  litres: number | null
  sticksIn: number
  /** Is there a hold on the tank or on the bath in it? */
  held: boolean
}

/** Every tank by name. */
export async function readTanks(db: Database): Promise<Tank[]> {
  const rows = await sql<Tank>`
    select p.place_id as "tankId", p.name, b.bath_id as "bathId", b.filled_at as "filledAt",
      b.disinfectant, coalesce(b.litres, (select litres from bath f where f.place_id = p.place_id
        and f.litres is not null order by f.filled_at desc, f.entry_id limit 1)) as litres,
      coalesce((select sum(greatest(x.count, 0)) from balance x where x.account_kind = 'bath'
        and x.account_id = b.bath_id and x.unit = 'stick'), 0)::int as "sticksIn",
      exists (select 1 from standing_hold h
        where h.on_id = p.place_id or h.on_id = b.bath_id) as held
    from place_now p
    left join lateral (
      select * from bath f where f.place_id = p.place_id
        and not exists (select 1 from bath_end e where e.bath_id = f.bath_id)
      order by f.filled_at desc, f.entry_id limit 1
    ) b on true
    where p.place_kind = 'tank' order by lower(p.name), p.place_id`.execute(db)
  return rows.rows
}

/** The tank that each bath was first filled in; a bath that no entry filled is not in it. */
export async function tanksOfBaths(
  db: Database,
  bathIds: readonly string[],
): Promise<Map<string, string>> {
  if (bathIds.length === 0) return new Map()
  const { rows } = await sql<{ bath_id: string; place_id: string }>`
    select distinct on (bath_id) bath_id, place_id from bath
    where bath_id = any(${[...new Set(bathIds)]}::uuid[])
    order by bath_id, filled_at, entry_id`.execute(db)
  return new Map(rows.map(({ bath_id, place_id }) => [bath_id, place_id]))
}
