// Reads one lot whole: what it is, what it came of and became, where its wood is, how it took.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { readLotGrafts } from './lot-grafts.ts'
import type { RowGrafts } from './lot-grafts.ts'
import { readLotStock } from './lot-stock.ts'
import type { BundleStock, Holding } from './lot-stock.ts'

/** What the first entry that made the lot says it is, with names. */
export type LotIdentity = {
  lot_id: string
  reference: string
  made_by: string
  material: string | null
  variety_id: string | null
  variety: string | null
  clone: string | null
  scheme: string | null
  class: string | null
  harvest_year: number | null
  buds_per_stick: number | null
  source_id: string | null
  source: string | null
  supplier_id: string | null
  supplier: string | null
  supplier_reference: string | null
  passport_code: string | null
  note: string
  /** When it was cut, received, parted or combined, by the clock of whoever recorded it. */
  occurred_at: Date
  person_id: string
  person: string | null
  /** How many entries claim to have made this lot; more than one is a finding. */
  makings: number
}

/** A lot on one end of a split or combination; `made_by` is null for one nobody described. */
export type RelatedLot = {
  lot_id: string
  reference: string | null
  made_by: string | null
  /** What this part brought to the younger lot, for its share: buds, or sticks. */
  bud_equivalents: number
}

/** A hold that stands on the lot itself. */
export type LotHold = {
  hold_id: string
  agent: string | null
  reason: string
  placed_at: Date
  person_id: string
  person: string | null
}

/** One lot whole. `identity` is null when entries use the lot but none made it. */
export type LotDetail = {
  identity: LotIdentity | null
  parents: RelatedLot[]
  children: RelatedLot[]
  holds: LotHold[]
  bundles: BundleStock[]
  /** Wood that is in no bundle, by account. */
  loose: Holding[]
  /** The whole lot by account, bundles and loose wood together; adds up to nothing. */
  balance: Holding[]
  grafts: RowGrafts[]
}

/** The lot, or null when no standing entry knows it. */
export async function readLotDetail(db: Database, lotId: string): Promise<LotDetail | null> {
  const identity = await readLotIdentity(db, lotId)
  const [parents, children, holds, stock, grafts] = await Promise.all([
    related(db, lotId, 'lot_id', 'parent_lot_id'),
    related(db, lotId, 'parent_lot_id', 'lot_id'),
    readHolds(db, lotId),
    readLotStock(db, lotId),
    readLotGrafts(db, lotId),
  ])
  const lists = [parents, children, holds, stock.bundles, stock.balance, grafts]
  if (identity === null && lists.every((list) => list.length === 0)) return null
  return { identity, parents, children, holds, ...stock, grafts }
}

/** What the lot is, or null when no standing entry made it. */
export async function readLotIdentity(db: Database, lotId: string): Promise<LotIdentity | null> {
  const rows = await sql<LotIdentity>`
    select l.lot_id, l.reference, l.made_by, l.material, l.variety_id, v.name as variety, l.clone,
      l.scheme, l.class, l.harvest_year, l.buds_per_stick, l.source_id, s.name as source,
      l.supplier_id, p.name as supplier, l.supplier_reference, l.passport_code, l.note,
      l.occurred_at, l.person_id, w.name as person,
      (select count(*) from lot o where o.lot_id = l.lot_id) as makings
    from lot_first l
      left join lateral (select name from variety v where v.variety_id = l.variety_id
        order by v.occurred_at desc, v.entry_id desc limit 1) v on true
      left join lateral (select name from source s where s.source_id = l.source_id
        order by s.occurred_at desc, s.entry_id desc limit 1) s on true
      left join lateral (select name from party p where p.party_id = l.supplier_id
        order by p.occurred_at desc, p.entry_id desc limit 1) p on true
      left join person w on w.person_id = l.person_id
    where l.lot_id = ${lotId}`.execute(db)
  return rows.rows[0] ?? null
}

async function related(
  db: Database,
  lotId: string,
  here: 'lot_id' | 'parent_lot_id',
  there: 'lot_id' | 'parent_lot_id',
): Promise<RelatedLot[]> {
  const rows = await sql<RelatedLot>`
    select r.id as lot_id, l.reference, l.made_by, r.bud_equivalents
    from (
      select ${sql.ref(there)} as id, sum(bud_equivalents)::bigint as bud_equivalents
      from lot_parent where ${sql.ref(here)} = ${lotId} group by 1
    ) r
      left join lateral (select reference, made_by from lot l where l.lot_id = r.id
        order by l.occurred_at, l.entry_id, l.line limit 1) l on true
    order by l.reference, r.id`.execute(db)
  return rows.rows
}

async function readHolds(db: Database, lotId: string): Promise<LotHold[]> {
  const rows = await sql<LotHold>`
    select h.hold_id, h.agent, h.reason, h.placed_at, h.person_id, p.name as person
    from standing_hold h left join person p on p.person_id = h.person_id
    where h.on_id = ${lotId} order by h.placed_at, h.hold_id`.execute(db)
  return rows.rows
}
