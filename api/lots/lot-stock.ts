// Where a lot's wood is: by account, by bundle, and loose, with the tags each bundle carries.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'

/** Accounts whose wood is still at hand. */
export const AT_HAND: readonly string[] = ['place', 'bath', 'holder', 'unknown']

/**
 * What one account of the books holds of a lot. Whole sticks and buds; `bud_equivalents` is
 * sticks times the buds on a stick plus buds, because sticks may be given out and buds set.
 */
export type Holding = {
  account_kind: string
  account_id: string
  /** The place, person, row … by name; null where it has none. */
  name: string | null
  sticks: number
  buds: number
  bud_equivalents: number
  last_moved_at: Date
}

/** A tag that is, or was, on a bundle. */
export type BundleTag = { code: string; bound_at: Date; ended_how: string | null }

/** A bundle as it was tied, and where its wood is now. */
export type BundleStock = {
  bundle_id: string
  /** Null for a bundle that entries use but none tied. */
  number: number | null
  unit: string | null
  /** Sticks or buds in it when it was tied. */
  count: number | null
  tags: BundleTag[]
  /** Accounts that the bundle's wood came from or went to; those in AT_HAND say where it is. */
  holdings: Holding[]
}

export type LotStock = { bundles: BundleStock[]; loose: Holding[]; balance: Holding[] }

/** The stock of one lot; accounts that hold nothing any more are left out. */
export async function readLotStock(db: Database, lotId: string): Promise<LotStock> {
  const [budsPerStick, sums, tied] = await Promise.all([
    readBudsPerStick(db, lotId),
    readSums(db, lotId),
    readBundles(db, lotId),
  ])
  const names = await readNames(
    db,
    sums.map((sum) => sum.account_id),
  )
  const holdings = (of: Sum[]) => holdingsOf(of, budsPerStick, names)
  const known = new Set(tied.map((bundle) => bundle.bundle_id))
  const strange = [...new Set(sums.map((sum) => sum.bundle_id))]
    .filter((id) => id !== NIL_ID && !known.has(id))
    .map((bundle_id) => ({ bundle_id, number: null, unit: null, count: null, tags: [] }))
  return {
    bundles: [...tied, ...strange].map((bundle) => ({
      ...bundle,
      holdings: holdings(sums.filter((sum) => sum.bundle_id === bundle.bundle_id)),
    })),
    loose: holdings(sums.filter((sum) => sum.bundle_id === NIL_ID)),
    balance: holdings(sums),
  }
}

type Sum = {
  bundle_id: string
  account_kind: string
  account_id: string
  sticks: number
  buds: number
  last_moved_at: Date
}

async function readSums(db: Database, lotId: string): Promise<Sum[]> {
  const rows = await sql<Sum>`
    select bundle_id, account_kind, account_id,
      coalesce(sum(count) filter (where unit = 'stick'), 0) as sticks,
      coalesce(sum(count) filter (where unit = 'bud'), 0) as buds,
      max(occurred_at) as last_moved_at
    from movement where lot_id = ${lotId}
    group by 1, 2, 3 order by 2, 3, 1`.execute(db)
  return rows.rows
}

/** Sums up by account and leaves out what comes to nothing. */
function holdingsOf(sums: Sum[], budsPerStick: number, names: Map<string, string>): Holding[] {
  const byAccount = new Map<string, Holding>()
  for (const sum of sums) {
    const key = `${sum.account_kind} ${sum.account_id}`
    const before = byAccount.get(key)
    const sticks = sum.sticks + (before?.sticks ?? 0)
    const buds = sum.buds + (before?.buds ?? 0)
    const last = before?.last_moved_at
    byAccount.set(key, {
      account_kind: sum.account_kind,
      account_id: sum.account_id,
      name: names.get(sum.account_id) ?? null,
      sticks,
      buds,
      bud_equivalents: sticks * budsPerStick + buds,
      last_moved_at: last !== undefined && last > sum.last_moved_at ? last : sum.last_moved_at,
    })
  }
  return [...byAccount.values()].filter(({ sticks, buds }) => sticks !== 0 || buds !== 0)
}

/** At least 1, so that sticks without usable buds still weigh something. */
async function readBudsPerStick(db: Database, lotId: string): Promise<number> {
  const lot = await db
    .selectFrom('lot_first')
    .select('buds_per_stick')
    .where('lot_id', '=', lotId)
    .executeTakeFirst()
  return Math.max(1, lot?.buds_per_stick ?? 1)
}

async function readBundles(db: Database, lotId: string): Promise<Omit<BundleStock, 'holdings'>[]> {
  const bundles = await db
    .selectFrom('bundle')
    .select(['bundle_id', 'number', 'unit', 'count'])
    .distinctOn('bundle_id')
    .where('lot_id', '=', lotId)
    .orderBy('bundle_id')
    .orderBy('occurred_at')
    .orderBy('entry_id')
    .orderBy('line')
    .execute()
  const ids = bundles.map((bundle) => bundle.bundle_id)
  const tags = await sql<BundleTag & { thing_id: string }>`
    select t.thing_id, t.code, t.bound_at, t.ended_how
    from tag_now t
    where t.code in (select code from tag_binding where thing_id = any(${ids}::uuid[]))
      and t.thing_id = any(${ids}::uuid[])
    order by t.bound_at, t.code`.execute(db)
  return bundles
    .sort((one, other) => one.number - other.number)
    .map((bundle) => ({
      ...bundle,
      tags: tags.rows
        .filter((tag) => tag.thing_id === bundle.bundle_id)
        .map(({ code, bound_at, ended_how }) => ({ code, bound_at, ended_how })),
    }))
}
