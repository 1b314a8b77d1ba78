// Reads the checks of buds, cambium and moisture that stand for lots, those they came of included.
import { sql } from 'kysely'
import { checksOfWood } from '#trade/checks-of-wood.ts'
import type { CheckRecords, MoistureRecord, ViabilityRecord } from '#trade/latest-checks.ts'
import type { WoodChecks } from '#trade/wood-checks.ts'
import type { Database } from '../../db/connect.ts'
import type { Upstream } from './upstream.ts'

/**
 * The latest checks for each lot of `upstream.sameWood`. A lot without a check of its own of some
 * sort has those of the lots it was parted from or combined of, until then: the worst of them.
 * Three queries, however many lots.
 */
export async function readLotChecks(
  db: Database,
  upstream: Upstream,
): Promise<Map<string, WoodChecks>> {
  const ids = [...new Set([...upstream.sameWood.values()].flat().map(({ lotId }) => lotId))]
  if (ids.length === 0) return new Map()
  const [records, parents] = await Promise.all([readCheckRecords(db, ids), readParents(db, ids)])
  const lots = {
    recordsOf: (lotId: string) => records.get(lotId),
    parentsOf: (lotId: string) => parents.get(lotId) ?? [],
    madeAt: (lotId: string) => upstream.lots.get(lotId)?.occurred_at.getTime(),
  }
  return new Map([...upstream.sameWood.keys()].map((lotId) => [lotId, checksOfWood(lotId, lots)]))
}

type ViabilityRow = {
  lot_id: string
  method: ViabilityRecord['method']
  sampled_count: number
  live_count: number
  checked_at: Date
}

type MoistureRow = {
  lot_id: string
  measured_by: MoistureRecord['by']
  basis: 'fresh weight' | 'dry weight' | null
  first_grams: number | null
  second_grams: number | null
  percent: number | null
  checked_at: Date
}

/** Every check of lots, as judgement reads them; lots without one are left out. */
export async function readCheckRecords(
  db: Database,
  lotIds: readonly string[],
): Promise<Map<string, CheckRecords>> {
  const [counted, moist] = await Promise.all([
    sql<ViabilityRow>`
      select lot_id, method, sampled_count, live_count, checked_at from viability_check
      where lot_id = any(${lotIds}::uuid[]) order by checked_at, entry_id`.execute(db),
    sql<MoistureRow>`
      select lot_id, measured_by, basis, first_grams, second_grams, percent, checked_at
      from moisture_check where lot_id = any(${lotIds}::uuid[])
      order by checked_at, entry_id`.execute(db),
  ])
  const ids = new Set([...counted.rows, ...moist.rows].map((row) => row.lot_id))
  return new Map(
    [...ids].map((lotId) => [
      lotId,
      {
        viability: counted.rows.filter((row) => row.lot_id === lotId).map(viabilityOf),
        moisture: moist.rows.filter((row) => row.lot_id === lotId).map(moistureOf),
      },
    ]),
  )
}

function viabilityOf(row: ViabilityRow): ViabilityRecord {
  return {
    checkedAt: row.checked_at.getTime(),
    method: row.method,
    live: row.live_count,
    sampled: row.sampled_count,
  }
}

/** The columns of one row as the entry stated them. */
export function moistureOf(row: Omit<MoistureRow, 'lot_id'>): MoistureRecord {
  const checkedAt = row.checked_at.getTime()
  const [first, second] = [row.first_grams ?? 0, row.second_grams ?? 0]
  switch (row.measured_by) {
    case 'oven':
      return { checkedAt, by: 'oven', freshGrams: first, dryGrams: second }
    case 'weighing again':
      return { checkedAt, by: 'weighing again', atCutGrams: first, nowGrams: second }
    case 'meter':
      return { checkedAt, by: 'meter', percent: row.percent ?? 0, basis: row.basis ?? 'dry weight' }
  }
}

async function readParents(db: Database, ids: string[]): Promise<Map<string, string[]>> {
  const rows = await sql<{ lot_id: string; parents: string[] }>`
    select lot_id, array_agg(distinct parent_lot_id order by parent_lot_id) as parents
    from lot_parent where lot_id = any(${ids}::uuid[]) group by lot_id`.execute(db)
  return new Map(rows.rows.map((row) => [row.lot_id, row.parents]))
}
