// When wood lay in which place or bath, worked out from what moved in and out.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import { clippedSpan, spansOf } from '#trade/wood-spans.ts'
import type { WoodMove, WoodSpan } from '#trade/wood-spans.ts'
import type { Database } from '../../db/connect.ts'
import type { BookAccount } from '../journal/fact-rows.ts'
import type { Upstream } from './upstream.ts'

/** Which wood of the lots is asked about: one bundle (null: what is loose), one account. */
export type WoodAsked = {
  bundleId?: string | null
  account?: { kind: string; id: string }
}

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
  return (upstream.sameWood.get(lotId) ?? []).flatMap((part) => {
    const own = part.lotId === lotId
    const rows = (byLot.get(part.lotId) ?? []).filter((row) => !own || isAsked(row, asked))
    const perStick = upstream.lots.get(part.lotId)?.buds_per_stick ?? 1
    const lain = spansOf(rows.map(asMove), perStick)
    const until = own && asked.account !== undefined ? arrival(rows, asked.account) : part.untilAt
    return lain.flatMap((span) => {
      const inAccount = own && span.id === asked.account?.id && span.kind === asked.account.kind
      return inAccount ? [span] : clippedSpan(span, until)
    })
  })
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

function isAsked(row: Moved, asked: WoodAsked): boolean {
  return asked.bundleId === undefined || row.bundle_id === (asked.bundleId ?? NIL_ID)
}

/** When wood last came into the account; never, and all spans count. */
function arrival(rows: Moved[], account: { kind: string; id: string }): number {
  const times = rows
    .filter((row) => row.account_kind === account.kind && row.account_id === account.id)
    .filter((row) => row.count > 0)
    .map((row) => row.occurred_at.getTime())
  return times.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...times)
}

const asMove = (row: Moved): WoodMove => ({
  kind: row.account_kind,
  id: row.account_id,
  unit: row.unit,
  count: row.count,
  at: row.occurred_at.getTime(),
})
