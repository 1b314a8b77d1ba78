// Where wood is: one position for each lot, bundle and account, with what can still be taken there.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'
import { budEquivalents } from '#trade/stock-left.ts'
import type { Pieces } from '../lots/pieces.ts'
import { readAccountNames } from './account-names.ts'

/** Accounts that hold wood which can still be used. */
export const holdingKinds = ['place', 'bath', 'holder', 'unknown'] as const
export type HoldingKind = (typeof holdingKinds)[number]

/** Wood of one lot, from one bundle or loose, in one account. Counts are never negative. */
export type WoodPosition = Pieces & {
  /** Names this position in a form. */
  key: string
  lotId: string
  reference: string
  material: string
  variety: string | null
  clone: string | null
  budsPerStick: number
  bundleId: string | null
  bundleNumber: number | null
  account: AccountShape
  accountName: string
  /** When wood of this position first and last came to the account. */
  firstAt: Date
  lastAt: Date
}

/** Which positions to read; what is left out does not narrow. */
export type PositionFilter = {
  lotIds?: readonly string[]
  kinds?: readonly HoldingKind[]
  accountIds?: readonly string[]
  /** A part of a lot's reference or of its variety's name. */
  text?: string
}

/** Most positions that one page or form deals with. */
export const POSITION_PAGE = 400

/**
 * Positions with something left to take, by reference and bundle; at most `limit` and whether
 * there are more. A position where the records show less than nothing is left out: a finding
 * tells of it.
 */
export async function readPositions(
  db: Database,
  zone: string,
  filter: PositionFilter,
  limit = POSITION_PAGE,
): Promise<{ positions: WoodPosition[]; more: boolean }> {
  const rows = await readBalances(db, filter, limit)
  const nameOf = await readAccountNames(
    db,
    rows.map((row) => ({ kind: row.account_kind, id: row.account_id })),
    zone,
  )
  const positions = takeable(rows).map((row): WoodPosition => {
    const account = { kind: row.account_kind, id: row.account_id }
    return {
      key: positionKey(row.lot_id, row.bundle_id, account),
      lotId: row.lot_id,
      reference: row.reference,
      material: row.material ?? 'scion wood',
      variety: row.variety,
      clone: row.clone,
      budsPerStick: row.buds_per_stick ?? 0,
      bundleId: row.bundle_id === NIL_ID ? null : row.bundle_id,
      bundleNumber: row.bundle_number,
      sticks: row.sticks,
      buds: row.buds,
      account,
      accountName: nameOf(account),
      firstAt: row.first_at,
      lastAt: row.last_at,
    }
  })
  return { positions, more: new Set(rows.map((row) => row.lot_id)).size >= limit }
}

/** The name of a position in a form: lot, bundle or nil, account kind, account. */
export function positionKey(lotId: string, bundleId: string | null, account: AccountShape): string {
  return [lotId, bundleId ?? NIL_ID, account.kind, account.id].join('_')
}

/** One lot's and bundle's sums in one account, as the books have them; may be negative. */
export type BalanceRow = Pieces & {
  lot_id: string
  bundle_id: string
  account_kind: HoldingKind
  account_id: string
  reference: string
  material: string | null
  variety: string | null
  clone: string | null
  buds_per_stick: number | null
  bundle_number: number | null
  first_at: Date
  last_at: Date
}

/**
 * What can be taken of each row. Buds set are taken off the sticks that were opened for them: a
 * crew with 40 sticks of 6 buds that set 130 has 18 whole sticks and 2 buds. Buds booked out
 * without naming the bundle come off that lot's bundles in the same account, the first ones first.
 */
export function takeable<Row extends BalanceRow>(rows: readonly Row[]): Row[] {
  const debts = new Map<string, number>()
  const place = (row: Row) => `${row.lot_id} ${row.account_kind} ${row.account_id}`
  for (const row of rows) {
    const worth = budEquivalents(row, row.buds_per_stick ?? 0)
    if (worth < 0) debts.set(place(row), (debts.get(place(row)) ?? 0) - worth)
  }
  const left: Row[] = []
  for (const row of rows) {
    const perStick = Math.max(1, row.buds_per_stick ?? 0)
    const own = budEquivalents(row, perStick)
    const debt = debts.get(place(row)) ?? 0
    const worth = own - Math.min(debt, Math.max(0, own))
    if (own > 0) debts.set(place(row), debt - (own - worth))
    if (worth <= 0) continue
    const sticks = Math.max(0, Math.min(row.sticks, Math.floor(worth / perStick)))
    left.push({ ...row, sticks, buds: worth - sticks * perStick })
  }
  return left
}

async function readBalances(
  db: Database,
  filter: PositionFilter,
  limit: number,
): Promise<BalanceRow[]> {
  const kinds = [...(filter.kinds ?? holdingKinds)]
  const lots = filter.lotIds === undefined ? null : [...filter.lotIds]
  const accounts = filter.accountIds === undefined ? null : [...filter.accountIds]
  const like = `%${(filter.text ?? '').replace(/[\\%_]/g, '\\$&')}%`
  const rows = await sql<BalanceRow>`
    with held as (
      select distinct b.lot_id from balance b
      where b.count <> 0 and b.account_kind = any(${kinds}::text[])
        and (${lots}::uuid[] is null or b.lot_id = any(${lots}::uuid[]))
        and (${accounts}::uuid[] is null or b.account_id = any(${accounts}::uuid[]))
    ), chosen as (
      select l.*, v.name as variety from held
      join lateral (select * from lot where lot.lot_id = held.lot_id
        order by occurred_at, entry_id, line limit 1) l on true
      left join variety_now v on v.variety_id = l.variety_id
      where l.reference ilike ${like} or v.name ilike ${like}
      order by l.reference, l.lot_id limit ${limit}
    )
    select c.lot_id, b.bundle_id, b.account_kind, b.account_id, c.reference, c.material,
      c.variety, c.clone, c.buds_per_stick, n.number as bundle_number,
      b.sticks, b.buds, coalesce(m.first_at, c.occurred_at) as first_at,
      coalesce(m.last_at, c.occurred_at) as last_at
    from chosen c
    join lateral (
      select bundle_id, account_kind, account_id,
        coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
        coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
      from balance
      where lot_id = c.lot_id and count <> 0 and account_kind = any(${kinds}::text[])
        and (${accounts}::uuid[] is null or account_id = any(${accounts}::uuid[]))
      group by 1, 2, 3
    ) b on true
    left join lateral (select number from bundle where bundle.bundle_id = b.bundle_id
      order by occurred_at, entry_id, line limit 1) n on true
    left join lateral (
      select min(occurred_at) as first_at, max(occurred_at) as last_at from movement
      where lot_id = c.lot_id and bundle_id = b.bundle_id and account_kind = b.account_kind
        and account_id = b.account_id and count > 0
    ) m on true
    order by c.reference, c.lot_id, n.number nulls first, b.bundle_id, b.account_kind, b.account_id
  `.execute(db)
  return rows.rows
}
