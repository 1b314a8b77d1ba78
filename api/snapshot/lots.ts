// What a phone is told of lots: how they were made, where their wood lay, and what is left.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import type { SnapshotLotShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import { bladeOf } from '../grafting/blades.ts'
import { readCheckRecords } from '../lots/lot-checks.ts'
import { readLotFacts } from '../lots/lot-facts.ts'

/** The facts that a phone works out by itself; all others are told as they are. */
const workedOut: ReadonlySet<string> = new Set<keyof KnownLotFacts>([
  'known',
  'tag',
  'snapshotAt',
  'lotId',
  'material',
  'varietyId',
  'clone',
  'scheme',
  'className',
  'cutAt',
  'receivedAt',
  'sources',
  'originUnknown',
  'holds',
  'left',
  'stays',
  'soaks',
  'checks',
  'dryingAir',
  'plan',
])

/** The lots in the order of their ids; one that no entry made has no making. */
export async function readSnapshotLots(
  db: Database,
  lotIds: readonly string[],
  now: Date,
): Promise<SnapshotLotShape[]> {
  if (lotIds.length === 0) return []
  const any = sql`any(${lotIds}::uuid[])`
  const makings = grouped(await readMakings(db, any))
  const parents = grouped(await readParents(db, any))
  const bundles = grouped(await readBundles(db, any))
  const moves = grouped(await readMoves(db, any))
  const stock = grouped(await readStock(db, any))
  const handovers = grouped(await readHandovers(db, any))
  const cuts = grouped(await readCuts(db, any))
  const checks = await readCheckRecords(db, lotIds)
  const facts = await readLotFacts(db, lotIds, now)
  return [...lotIds].sort().map((lotId) => ({
    lotId,
    makings: makings.get(lotId) ?? [],
    parents: parents.get(lotId) ?? [],
    bundles: bundles.get(lotId) ?? [],
    moves: moves.get(lotId) ?? [],
    stock: stock.get(lotId) ?? [],
    handovers: handovers.get(lotId) ?? [],
    cuts: cuts.get(lotId) ?? [],
    viability: [...(checks.get(lotId)?.viability ?? [])],
    moisture: [...(checks.get(lotId)?.moisture ?? [])],
    other: Object.fromEntries(
      Object.entries(facts.get(lotId) ?? {}).filter(
        ([name]) => !workedOut.has(name) && name !== 'code',
      ),
    ),
  }))
}

type Any = ReturnType<typeof sql>
type OfLot<T> = { lotId: string; value: T }[]

function grouped<T>(rows: OfLot<T>): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const { lotId, value } of rows) {
    const group = groups.get(lotId)
    if (group === undefined) groups.set(lotId, [value])
    else group.push(value)
  }
  return groups
}

type MakingRow = {
  lot_id: string
  entry_id: string
  reference: string
  made_by: string
  material: string
  variety_id: string
  clone: string | null
  scheme: string | null
  class: string | null
  source_id: string | null
  buds_per_stick: number | null
  occurred_at: Date
}

async function readMakings(db: Database, any: Any): Promise<OfLot<SnapshotLotShape['makings'][0]>> {
  const rows = await sql<MakingRow>`
    select lot_id, entry_id, reference, made_by, material, variety_id, clone, scheme, class,
      source_id, buds_per_stick, occurred_at
    from lot where lot_id = ${any} and material is not null and variety_id is not null
    order by occurred_at, entry_id, line`.execute(db)
  return rows.rows.map((row) => ({
    lotId: row.lot_id,
    value: {
      entryId: row.entry_id,
      reference: row.reference,
      madeBy: row.made_by,
      material: row.material,
      varietyId: row.variety_id,
      clone: row.clone,
      scheme: row.scheme,
      className: row.class,
      sourceId: row.source_id,
      budsPerStick: row.buds_per_stick ?? 1,
      at: row.occurred_at.getTime(),
    },
  }))
}

async function readParents(db: Database, any: Any): Promise<OfLot<string>> {
  const rows = await sql<{ lot_id: string; parent_lot_id: string }>`
    select distinct lot_id, parent_lot_id from lot_parent where lot_id = ${any}
    order by 1, 2`.execute(db)
  return rows.rows.map((row) => ({ lotId: row.lot_id, value: row.parent_lot_id }))
}

type Unit = 'stick' | 'bud'

async function readBundles(db: Database, any: Any): Promise<OfLot<SnapshotLotShape['bundles'][0]>> {
  const rows = await sql<{
    lot_id: string
    bundle_id: string
    number: number
    unit: Unit
    count: number
  }>`
    select * from (
      select distinct on (bundle_id) lot_id, bundle_id, number, unit, count from bundle
      where bundle_id in (select b.bundle_id from bundle b where b.lot_id = ${any})
      order by bundle_id, occurred_at, entry_id, line
    ) first order by number, bundle_id`.execute(db)
  return rows.rows.map(({ lot_id, bundle_id, number, unit, count }) => {
    return { lotId: lot_id, value: [bundle_id, number, unit, count] }
  })
}

async function readMoves(db: Database, any: Any): Promise<OfLot<SnapshotLotShape['moves'][0]>> {
  const rows = await sql<{
    lot_id: string
    account_kind: string
    account_id: string
    bundle_id: string
    unit: Unit
    count: number
    occurred_at: Date
  }>`
    select lot_id, account_kind, account_id, bundle_id, unit, count, occurred_at from movement
    where lot_id = ${any} and (account_kind in ('place', 'bath')
      or (account_kind in ('holder', 'unknown') and count > 0))
    order by occurred_at, count desc, entry_id, line`.execute(db)
  return rows.rows.map((row) => {
    const { lot_id: lotId, account_kind: kind, account_id: id, unit, count } = row
    return { lotId, value: [kind, id, unit, count, row.occurred_at.getTime(), bundleOf(row)] }
  })
}

async function readStock(db: Database, any: Any): Promise<OfLot<SnapshotLotShape['stock'][0]>> {
  const rows = await sql<{
    lot_id: string
    account_kind: string
    account_id: string
    bundle_id: string
    sticks: number
    buds: number
  }>`
    select * from (
      select lot_id, account_kind, account_id, bundle_id,
        coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
        coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
      from balance
      where lot_id = ${any} and account_kind in ('place', 'bath', 'holder', 'unknown')
      group by 1, 2, 3, 4
    ) held where sticks <> 0 or buds <> 0
    order by account_kind, account_id, bundle_id`.execute(db)
  return rows.rows.map((row) => ({
    lotId: row.lot_id,
    value: [row.account_kind, row.account_id, bundleOf(row), row.sticks, row.buds],
  }))
}

/** Loose wood is of no bundle. */
const bundleOf = ({ bundle_id: id }: { bundle_id: string }) => (id === NIL_ID ? null : id)

async function readHandovers(db: Database, any: Any): Promise<OfLot<string>> {
  const rows = await sql<{ lot_id: string; entry_id: string }>`
    select distinct lot_id, entry_id from movement
    where lot_id = ${any} and account_kind = 'holder' and count > 0 order by 1, 2`.execute(db)
  return rows.rows.map((row) => ({ lotId: row.lot_id, value: row.entry_id }))
}

async function readCuts(db: Database, any: Any): Promise<OfLot<SnapshotLotShape['cuts'][0]>> {
  const rows = await sql<{ lot_id: string; blade: string; first: Date; last: Date }>`
    select g.lot_id, ${bladeOf('g')} as blade, min(g.grafted_at) as first,
      max(g.grafted_at) as last
    from graft g where g.lot_id = ${any}
    group by 1, 2, (g.grafted_at at time zone 'UTC')::date
    order by 2, 3`.execute(db)
  return rows.rows.map((row) => {
    return { lotId: row.lot_id, value: [row.blade, row.first.getTime(), row.last.getTime()] }
  })
}
