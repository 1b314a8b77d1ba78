// Whether a scanned lot may be used: one pure judgement for server, phone and tests.
import { MS_PER_MINUTE } from './intervals.ts'
import { judgeChecks } from './judge-checks.ts'
import { assertFacts, judgeClock } from './judge-clock.ts'
import { judgePlan } from './judge-plan.ts'
import { judgeSoak } from './judge-soak.ts'
import { judgeSources } from './judge-sources.ts'
import { judgeStorage } from './judge-storage.ts'
import { judgeThermal } from './judge-thermal.ts'
import type { KnownLotFacts, LotFacts, StandingHold } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { REASON_CODES, reasonOf, severityOf, verdictOf } from './reasons.ts'
import type { Reason, Verdict } from './reasons.ts'

/** The verdict and every reason behind it, the worst first. */
export interface Judgement {
  readonly verdict: Verdict
  readonly reasons: readonly Reason[]
}

/**
 * Judges whether a lot may be used at a moment. Nothing is read but the arguments and nothing is
 * changed; the order of lists inside the facts does not matter.
 *
 * `ready` is never given while a hold stands on the lot, on a lot it was made from, on its sources
 * or on its contacts (invariant 8).
 *
 * @param now epoch milliseconds, by the clock of whoever asks
 * @throws RangeError when a time or a count among the facts is not a number (a bug of the caller)
 */
export function judge(lot: LotFacts, policies: Policies, now: number): Judgement {
  assertFacts(lot, now)
  const reasons = [...judgeTag(lot), ...judgeSnapshot(lot, policies, now)]
  reasons.push(...judgeClock(lot, policies, now))
  if (lot.known) {
    reasons.push(...judgeHolds(lot.holds, policies))
    reasons.push(...judgePlan(lot, policies), ...judgeSources(lot, now), ...judgeStock(lot))
    reasons.push(...judgeStorage(lot, policies, now), ...judgeThermal(lot, policies, now))
    reasons.push(...judgeChecks(lot, policies, now), ...judgeSoak(lot, policies, now))
  } else {
    reasons.push(reasonOf('lot.unknown', { code: lot.code }))
  }
  const judgement = { verdict: verdictOf(reasons), reasons: worstFirst(reasons) }
  assertHoldsRespected(lot, judgement)
  return judgement
}

function judgeTag(lot: LotFacts): Reason[] {
  if (lot.tag === null || lot.tag.state === 'bound') return []
  const code = lot.tag.code
  return [
    lot.tag.state === 'spoiled'
      ? reasonOf('tag.spoiled', { code })
      : reasonOf('tag.ended', { code }),
  ]
}

function judgeSnapshot(lot: LotFacts, policies: Policies, now: number): Reason[] {
  if (lot.snapshotAt === null) return []
  const ageMinutes = Math.floor((now - lot.snapshotAt) / MS_PER_MINUTE)
  const limitHours = policies.snapshotStaleHours.value
  if (ageMinutes <= limitHours * 60) return []
  return [reasonOf('snapshot.stale', { snapshotAt: lot.snapshotAt, ageMinutes, limitHours })]
}

function judgeHolds(holds: readonly StandingHold[], policies: Policies): Reason[] {
  const ordered = [...holds].sort((one, other) => compareText(one.holdId, other.holdId))
  return ordered.map((hold): Reason => {
    const facts = { holdId: hold.holdId, subjectId: hold.subjectId, agentId: hold.agentId }
    switch (hold.relation) {
      case 'lot':
        return reasonOf('hold.lot', facts)
      case 'parent_lot':
        return reasonOf('hold.parent_lot', facts)
      case 'source':
        return reasonOf('hold.source', facts)
      case 'contact': {
        const verdict = policies.contactHoldStops.value ? 'stop' : 'caution'
        return reasonOf('hold.contact', { ...facts, route: hold.route }, verdict)
      }
    }
  })
}

function judgeStock(lot: KnownLotFacts): Reason[] {
  if (lot.left === null) return [reasonOf('stock.unknown', {})]
  const { sticks, buds } = lot.left
  const reasons: Reason[] = []
  if (sticks <= 0 && buds <= 0) reasons.push(reasonOf('stock.nothing_left', { sticks, buds }))
  if (sticks < 0 || buds < 0) reasons.push(reasonOf('stock.negative', { sticks, buds }))
  return reasons
}

function worstFirst(reasons: readonly Reason[]): Reason[] {
  const severity = (reason: Reason): number => severityOf(reason.verdict)
  const place = (reason: Reason): number => REASON_CODES.indexOf(reason.code)
  return [...reasons].sort(
    (one, other) => severity(other) - severity(one) || place(one) - place(other),
  )
}

function assertHoldsRespected(lot: LotFacts, judgement: Judgement): void {
  if (lot.known && lot.holds.length > 0 && judgement.verdict === 'ready') {
    throw new Error(`invariant 8: lot ${lot.lotId} was judged ready while a hold stands`)
  }
}

function compareText(one: string, other: string): number {
  return one < other ? -1 : one > other ? 1 : 0
}
