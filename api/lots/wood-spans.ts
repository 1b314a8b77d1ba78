// When wood lay in which place or bath, worked out from what moved in and out.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import { pieceSpans } from '#trade/wood-pieces.ts'
import type { PieceMove, WoodAsked } from '#trade/wood-pieces.ts'
import type { WoodSpan } from '#trade/wood-spans.ts'
import type { Database } from '../../db/connect.ts'
import type { BookAccount } from '../journal/fact-rows.ts'
import type { Upstream } from './upstream.ts'

type Moved = {
  lot_id: string
  bundle_id: string
  unit: 'stick' | 'bud'
  account_kind: string
  account_id: string
  count: number
  occurred_at: Date
}

/**
 * For each lot asked for, the spans of its wood and of the lots it was made from, until they were
 * parted. A span begins when the account first holds something and ends when nothing is left of
 * it, sticks and buds reckoned together. A lot that lies in several places has overlapping spans.
 * For one account only the way into it counts: what happened elsewhere to wood that stayed behind
 * after wood last came into the account is left out. One query.
 */
export async function readWoodSpans(
  db: Database,
  upstream: Upstream,
  asked: WoodAsked,
): Promise<Map<string, WoodSpan[]>> {
  const account = asked.account ?? { kind: '', id: NIL_ID }
  const byLot = await readMoved(
    db,
    upstream,
    sql`account_kind = ${account.kind} and account_id = ${account.id}`,
  )
  return new Map(
    [...upstream.sameWood.keys()].map((lotId) => [lotId, spansFor(upstream, byLot, lotId, asked)]),
  )
}

/** One piece of wood: of a lot, from one bundle (null: loose), in one account. */
export type WoodPiece = { lotId: string; bundleId: string | null; account: BookAccount }

/** The spans of each piece, in the order of the pieces, as for one account; one query. */
export async function readPieceSpans(
  db: Database,
  upstream: Upstream,
  pieces: readonly WoodPiece[],
): Promise<WoodSpan[][]> {
  const byLot = await readMoved(db, upstream, sql`account_kind in ('holder', 'unknown')`)
  return pieces.map(({ lotId, bundleId, account }) =>
    spansFor(upstream, byLot, lotId, { bundleId, account }),
  )
}

function spansFor(
  upstream: Upstream,
  byLot: Map<string, Moved[]>,
  lotId: string,
  asked: WoodAsked,
): WoodSpan[] {
  const movesOf = (id: string) => ({
    moves: (byLot.get(id) ?? []).map(asMove),
    budsPerStick: upstream.lots.get(id)?.buds_per_stick ?? 1,
  })
  return pieceSpans(lotId, upstream.sameWood.get(lotId) ?? [], movesOf, asked)
}

/** What moved in and out of places, baths and the accounts of `also`, by lot, in order of time. */
async function readMoved(
  db: Database,
  upstream: Upstream,
  also: ReturnType<typeof sql>,
): Promise<Map<string, Moved[]>> {
  const ids = [...new Set([...upstream.sameWood.values()].flat().map((wood) => wood.lotId))]
  if (ids.length === 0) return new Map()
  const rows = await sql<Moved>`
    select lot_id, bundle_id, unit, account_kind, account_id, count, occurred_at
    from movement
    where lot_id = any(${ids}::uuid[]) and (account_kind in ('place', 'bath') or ${also})
    order by occurred_at, count desc, entry_id, line`.execute(db)
  const byLot = new Map<string, Moved[]>()
  for (const row of rows.rows) {
    const before = byLot.get(row.lot_id)
    if (before === undefined) byLot.set(row.lot_id, [row])
    else before.push(row)
  }
  return byLot
}

const asMove = (row: Moved): PieceMove => ({
  kind: row.account_kind,
  id: row.account_id,
  bundleId: row.bundle_id === NIL_ID ? null : row.bundle_id,
  unit: row.unit,
  count: row.count,
  at: row.occurred_at.getTime(),
})
