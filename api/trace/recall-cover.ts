// Which lots and sources of a recall are stopped already, and by the hold on what.
import type { Database } from '../../db/connect.ts'
import { readLotFacts } from '../lots/lot-facts.ts'
import { isHoldFor } from './recall.ts'
import type { Recall } from './recall.ts'

/** The hold that stops a thing, and what it is on: the thing itself, or what it came of or met. */
export type Cover = { holdId: string; onId: string }

/**
 * For each source of the recall the hold on itself, and for each lot the hold that stops its use
 * as the verdict sees it at `at` (invariant 8): its own before one that reaches it. Only holds for
 * the recall's agent, or for none in particular, count. What is not in the map has none.
 */
export async function readCovers(
  db: Database,
  { question, sources, lots }: Pick<Recall, 'question' | 'sources' | 'lots'>,
  at: Date,
): Promise<Map<string, Cover>> {
  const covers = new Map<string, Cover>()
  for (const { source_id, hold_id } of sources) {
    if (hold_id !== null) covers.set(source_id, { holdId: hold_id, onId: source_id })
  }
  const ids = lots.map((lot) => lot.lot_id)
  for (const [lotId, facts] of await readLotFacts(db, ids, at)) {
    if (!facts.known) continue
    const holds = facts.holds.filter((hold) => isHoldFor(question.agent, hold.agentId))
    const hold = holds.find(({ subjectId }) => subjectId === lotId) ?? holds[0]
    if (hold !== undefined) covers.set(lotId, { holdId: hold.holdId, onId: hold.subjectId })
  }
  return covers
}
