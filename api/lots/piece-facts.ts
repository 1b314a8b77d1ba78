// What judgement needs to know of single pieces of wood: a bundle, or loose wood, in one place.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import type { KnownLotFacts, StockLeft } from '#trade/lot-facts.ts'
import { openedStock } from '#trade/stock-left.ts'
import type { Database } from '../../db/connect.ts'
import { readPlaces } from '../store/places.ts'
import { lainIn, readBaths, readLotFacts } from './lot-facts.ts'
import { readUpstream } from './upstream.ts'
import { readPieceSpans } from './wood-spans.ts'
import type { WoodPiece } from './wood-spans.ts'

/**
 * For each piece the facts of its lot, with the stays, the soaks and what is left of the piece
 * alone: one bundle that was soaked, or lies in the cold, says nothing of another. Null for a lot
 * that no entry made. Holds are those of the whole lot, so that a piece is never less held than its
 * lot. A constant number of queries.
 */
export async function readPieceFacts(
  db: Database,
  pieces: readonly WoodPiece[],
  at: Date,
): Promise<(KnownLotFacts | null)[]> {
  const lotIds = [...new Set(pieces.map(({ lotId }) => lotId))]
  if (lotIds.length === 0) return []
  const upstream = await readUpstream(db, lotIds)
  const [lots, places, spans, left] = await Promise.all([
    readLotFacts(db, lotIds, at),
    readPlaces(db),
    readPieceSpans(db, upstream, pieces),
    readLeft(db, lotIds),
  ])
  const baths = await readBaths(db, spans.flat())
  return pieces.map((piece, nr) => {
    const lot = lots.get(piece.lotId)
    if (lot === undefined || !lot.known) return null
    const held = left.get(keyOf(piece)) ?? { sticks: 0, buds: 0 }
    const perStick = upstream.lots.get(piece.lotId)?.buds_per_stick ?? 1
    return {
      ...lot,
      ...lainIn(spans[nr] ?? [], places, baths),
      left: openedStock(held, perStick),
    }
  })
}

const keyOf = ({ lotId, bundleId, account }: WoodPiece) =>
  [lotId, bundleId ?? NIL_ID, account.kind, account.id].join(' ')

async function readLeft(db: Database, lotIds: readonly string[]): Promise<Map<string, StockLeft>> {
  const rows = await sql<StockLeft & { key: string }>`
    select concat_ws(' ', lot_id, bundle_id, account_kind, account_id) as key,
      coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
      coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
    from balance where lot_id = any(${lotIds}::uuid[]) group by 1`.execute(db)
  return new Map(rows.rows.map(({ key, sticks, buds }) => [key, { sticks, buds }]))
}
