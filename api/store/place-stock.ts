// How much lies in each place, itself and together with what is inside it.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { PlaceInTree } from './places.ts'

/** Lots, whole sticks and buds; pieces opened for buds may make buds negative. */
export type PlaceStock = { lots: number; sticks: number; buds: number }

type Row = { account_id: string; lot_ids: string[]; sticks: number; buds: number }

/**
 * The stock of each place by id, everything inside it included. A place that holds nothing, and
 * nothing inside it, has no lots.
 */
export async function readPlaceStock(
  db: Database,
  places: readonly PlaceInTree[],
): Promise<Map<string, PlaceStock>> {
  const rows = await sql<Row>`
    select account_id, array_agg(distinct lot_id) as lot_ids,
      coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
      coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
    from balance where account_kind = 'place' and count <> 0
    group by account_id`.execute(db)
  return withInside(places, rows.rows)
}

/** Adds what is inside to what is around, from the innermost places outwards. */
export function withInside(
  places: readonly PlaceInTree[],
  rows: readonly Row[],
): Map<string, PlaceStock> {
  const own = new Map(rows.map((row) => [row.account_id, row]))
  const lots = new Map(places.map((place) => [place.placeId, new Set<string>()]))
  const stock = new Map(places.map(({ placeId }) => [placeId, { lots: 0, sticks: 0, buds: 0 }]))
  const outerOf = new Map(places.map((place) => [place.placeId, place.insidePlaceId]))
  for (const { placeId } of places) {
    const row = own.get(placeId)
    if (row === undefined) continue
    const seen = new Set<string>()
    for (let at: string | null = placeId; at !== null && !seen.has(at);) {
      seen.add(at)
      const sum = stock.get(at)
      if (sum === undefined) break
      sum.sticks += row.sticks
      sum.buds += row.buds
      for (const lotId of row.lot_ids) lots.get(at)?.add(lotId)
      at = outerOf.get(at) ?? null
    }
  }
  for (const [placeId, sum] of stock) sum.lots = lots.get(placeId)?.size ?? 0
  return stock
}

/** Wood that lies in no place: in water, with crews and people, and where nobody knows. */
export async function readElsewhere(
  db: Database,
): Promise<Record<'bath' | 'holder' | 'unknown', PlaceStock>> {
  const rows = await sql<{ account_kind: string } & PlaceStock>`
    select account_kind, count(distinct lot_id)::int as lots,
      coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
      coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
    from balance where account_kind in ('bath', 'holder', 'unknown') and count <> 0
    group by account_kind`.execute(db)
  const of = (kind: string): PlaceStock => {
    const row = rows.rows.find(({ account_kind }) => account_kind === kind)
    return { lots: row?.lots ?? 0, sticks: row?.sticks ?? 0, buds: row?.buds ?? 0 }
  }
  return { bath: of('bath'), holder: of('holder'), unknown: of('unknown') }
}
