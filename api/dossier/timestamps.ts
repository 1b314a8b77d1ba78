// The time stamps that go with a dossier, each with proof that the dossier's journal extends it.
import type { Database } from '../../db/connect.ts'
import type { SignedCheckpoint } from '../journal/checkpoints.ts'
import { tokenOf } from '../journal/stamp-answer.ts'
import { stampsCovering } from '../journal/stamps.ts'
import { consistencyProof } from '../journal/tree.ts'
import type { ProvenStamp } from './dossier-shape.ts'

/** Most stamps in one dossier; each has a few thousand bytes. */
const STAMPS_LIMIT = 8

/**
 * For each entry the earliest stamp that covers it, and the newest there is, the oldest first;
 * none where nothing was ever stamped.
 */
export async function proveStamps(
  db: Database,
  entries: readonly { index: number }[],
  { size }: SignedCheckpoint,
): Promise<ProvenStamp[]> {
  const indexes = entries.map(({ index }) => index)
  const stamps = await stampsCovering(db, indexes, { size, limit: STAMPS_LIMIT })
  const proven: ProvenStamp[] = []
  for (const stamp of stamps) {
    const proof = await consistencyProof(db, stamp.size, size)
    proven.push({
      size: stamp.size,
      note: stamp.note,
      token: tokenOf(stamp.answer).toString('base64'),
      consistency: proof.map((hash) => hash.toString('base64')),
    })
  }
  return proven
}
