// What the desk refuses to give out or to soak: wood that judgement stops, with the reason.
import type { Judgement } from '#trade/judge.ts'
import { severityOf } from '#trade/reasons.ts'
import type { Reason } from '#trade/reasons.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import { judgePieces, reasonsInWords } from '../lots/judge-lots.ts'
import type { FieldProblem } from '../platform/errors.ts'
import type { WoodPosition } from '../store/positions.ts'

/**
 * One problem for each lot that must not be used now: every reason that stops it, which hold it
 * is, and what to do; of several pieces of a lot the worst tells. A scanner's entry about the same
 * wood is kept all the same.
 */
export async function useProblems(
  db: Database,
  pieces: readonly Pick<WoodPosition, 'lotId' | 'reference' | 'bundleId' | 'account'>[],
  now: Date,
  zone: string,
  field = 'wood',
): Promise<FieldProblem[]> {
  const judgements = await judgePieces(db, pieces, now)
  const judged = new Map<string, Judgement>()
  for (const [nr, { lotId }] of pieces.entries()) {
    const judgement = judgements[nr] ?? null
    const before = judged.get(lotId)
    if (judgement === null) continue
    if (before !== undefined && severityOf(before.verdict) >= severityOf(judgement.verdict))
      continue
    judged.set(lotId, judgement)
  }
  const problems: FieldProblem[] = []
  const references = new Map(pieces.map(({ lotId, reference }) => [lotId, reference]))
  for (const [lotId, reference] of references) {
    const judgement = judged.get(lotId)
    if (judgement === undefined || judgement.verdict !== 'stop') continue
    const reasons = judgement.reasons.filter((reason) => reason.verdict === 'stop')
    const holds = await holdsInWords(db, reasons, zone)
    const words = await reasonsInWords(db, { ...judgement, reasons })
    const said = words.map(({ sentence, todo }, nr) => `${sentence}${holds[nr] ?? ''} ${todo}`)
    problems.push({ field, message: `${reference} may not be used. ${said.join(' ')}` })
  }
  return problems
}

/** For each reason the hold behind it, by its day, person and words; '' where there is none. */
async function holdsInWords(
  db: Database,
  reasons: readonly Reason[],
  zone: string,
): Promise<string[]> {
  const idOf = (reason: Reason) => ('holdId' in reason.facts ? reason.facts.holdId : null)
  const ids = reasons.flatMap((reason) => idOf(reason) ?? [])
  if (ids.length === 0) return reasons.map(() => '')
  const rows = await db
    .selectFrom('hold')
    .select(['hold_id', 'reason', 'placed_at', 'person_id'])
    .where('hold_id', 'in', ids)
    .execute()
  const names = await readNames(
    db,
    rows.map((row) => row.person_id),
  )
  return reasons.map((reason) => {
    const hold = rows.find((row) => row.hold_id === idOf(reason))
    if (hold === undefined) return ''
    const by = names.get(hold.person_id)
    const who = by === undefined ? '' : ` by ${by}`
    return ` Hold of ${localDay(hold.placed_at.getTime(), zone)}${who}: “${hold.reason}”.`
  })
}
