// What judgement needs to know of single pieces of wood: a bundle, or loose wood, in one place.
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import type { Database } from '../../db/connect.ts'
import { readPlaces } from '../store/places.ts'
import { lainIn, readBaths, readLotFacts } from './lot-facts.ts'
import { readUpstream } from './upstream.ts'
import { readPieceSpans } from './wood-spans.ts'
import type { WoodPiece } from './wood-spans.ts'

/**
 * For each piece the facts of its lot, with the stays and soaks of the piece alone: one bundle that
 * was soaked says nothing of another. Null for a lot that no entry made. Holds are those of the
 * whole lot, so that a piece is never less held than its lot. A constant number of queries.
 */
export async function readPieceFacts(
  db: Database,
  pieces: readonly WoodPiece[],
  at: Date,
): Promise<(KnownLotFacts | null)[]> {
  const lotIds = [...new Set(pieces.map(({ lotId }) => lotId))]
  if (lotIds.length === 0) return []
  const upstream = await readUpstream(db, lotIds)
  const [lots, places, spans] = await Promise.all([
    readLotFacts(db, lotIds, at),
    readPlaces(db),
    readPieceSpans(db, upstream, pieces),
  ])
  const baths = await readBaths(db, spans.flat())
  return pieces.map(({ lotId }, nr) => {
    const lot = lots.get(lotId)
    if (lot === undefined || !lot.known) return null
    return { ...lot, ...lainIn(spans[nr] ?? [], places, baths) }
  })
}
