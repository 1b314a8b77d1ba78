// Traces back: what a vine or lot is made of, layer by layer, to its sources, with exact shares.
import { sql } from 'kysely'
import { addFractions, ZERO } from '#trade/fractions.ts'
import type { Fraction } from '#trade/fractions.ts'
import { sharesOf } from '#trade/lot-shares.ts'
import type { ParentPart } from '#trade/lot-shares.ts'
import type { Database } from '../../db/connect.ts'
import { ancestors } from './lineage.ts'
import type { Lineage } from './lineage.ts'
import { describeNodes, parentWeights } from './nodes.ts'
import type { LotNode, SourceNode } from './nodes.ts'

/** One tissue put on or under a vine: by a graft, or as a layer of its trunk. */
export type VinePart = {
  part: 'graft' | 'rootstock' | 'interstock'
  graft_id: string | null
  origin_kind: 'lot' | 'source' | 'unknown'
  origin_id: string | null
  variety: string | null
  method: string | null
  bud_count: number | null
  at: Date | null
  planted_year: number | null
  /** The latest look at this graft, by buds; null when nobody looked, or for a trunk layer. */
  checked_at: Date | null
  growing: number | null
  callused: number | null
  failed: number | null
  removed_at: Date | null
}

/** How much of a lot came from one origin; sourceId null says that the origin is unknown. */
export type OriginShare = { sourceId: string | null; firstLotId: string; share: Fraction }

/** The lineage upstream of the start, with everything named. */
export type TraceBack = {
  parts: VinePart[]
  lineage: Lineage
  sources: SourceNode[]
  lots: LotNode[]
  unknown: string[]
  /** For each lot of the start: its origins, adding up to exactly 1; a problem when they do not. */
  shares: { lotId: string; origins: OriginShare[]; problem: string | null }[]
}

/** Traces a vine back: all its parts over the years, removed and failed grafts included. */
export async function traceVineBack(
  db: Database,
  rowId: string,
  position: number,
): Promise<TraceBack> {
  const parts = await vineParts(db, rowId, position)
  const origins = parts.flatMap((part) => (part.origin_id === null ? [] : [part.origin_id]))
  return traceBackFrom(db, [...new Set(origins)], parts)
}

/** Traces a lot back. */
export function traceLotBack(db: Database, lotId: string): Promise<TraceBack> {
  return traceBackFrom(db, [lotId], [])
}

async function traceBackFrom(
  db: Database,
  startIds: string[],
  parts: VinePart[],
): Promise<TraceBack> {
  const lineage = await ancestors(db, startIds)
  const nodes = await describeNodes(db, lineage.ids)
  const starts = new Set(startIds)
  const startLots = nodes.lots.filter((lot) => starts.has(lot.lot_id)).map((lot) => lot.lot_id)
  return { parts, lineage, ...nodes, shares: await lotShares(db, startLots, nodes.lots) }
}

async function vineParts(db: Database, rowId: string, position: number): Promise<VinePart[]> {
  const rows = await sql<VinePart>`
    select 'graft' as part, g.entry_id as graft_id, 'lot' as origin_kind, g.lot_id as origin_id,
      v.name as variety, g.method, g.bud_count, g.grafted_at as at, null::int as planted_year,
      c.checked_at, c.growing, c.callused, c.failed, x.removed_at, 1000 as layer_order
    from graft g left join lot_first l on l.lot_id = g.lot_id
      left join variety_now v on v.variety_id = l.variety_id
      left join lateral (
        select checked_at, growing, callused, failed from take_check t
        where t.graft_id = g.entry_id order by checked_at desc, entry_id desc limit 1
      ) c on true
      left join lateral (
        select min(occurred_at) as removed_at from graft_removal r where r.graft_id = g.entry_id
      ) x on true
    where g.row_id = ${rowId} and g.position = ${position}
    union all
    select t.role, null, t.origin_kind, t.origin_id, v.name, null, null, null, t.planted_year,
      null, null, null, null, null, t.layer_order
    from trunk_layer t left join variety_now v on v.variety_id = t.variety_id
    where t.row_id = ${rowId} and ${position} between t.from_position and t.to_position
    order by layer_order, at`.execute(db)
  return rows.rows
}

async function lotShares(
  db: Database,
  startLots: string[],
  lots: LotNode[],
): Promise<TraceBack['shares']> {
  const weights = await parentWeights(
    db,
    lots.map((lot) => lot.lot_id),
  )
  const parents = new Map<string, ParentPart[]>()
  for (const row of weights) {
    const part = { lotId: row.parent_lot_id, quantity: row.bud_equivalents }
    parents.set(row.lot_id, [...(parents.get(row.lot_id) ?? []), part])
  }
  const sourceOf = new Map(lots.map((lot) => [lot.lot_id, lot.source_id]))
  const memo = new Map()
  return startLots.map((lotId) => {
    const result = sharesOf(lotId, parents, memo)
    if (!result.ok) return { lotId, origins: [], problem: result.message }
    const origins = [...result.shares].map(([firstLotId, share]) => ({
      sourceId: sourceOf.get(firstLotId) ?? null,
      firstLotId,
      share,
    }))
    return { lotId, origins, problem: null }
  })
}

/** Adds up shares by source; null gathers what has no known source. */
export function sharesBySource(origins: OriginShare[]): Map<string | null, Fraction> {
  const sums = new Map<string | null, Fraction>()
  for (const { sourceId, share } of origins) {
    sums.set(sourceId, addFractions(sums.get(sourceId) ?? ZERO, share))
  }
  return sums
}
