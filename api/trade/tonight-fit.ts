// Whether a piece of wood will be fit in the morning: the one judgement, asked of tonight's soak.
import { judge } from './judge.ts'
import type { KnownLotFacts, RowPlan } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { verdictOf } from './reasons.ts'
import type { Reason } from './reasons.ts'
import type { SoakTimes, TonightQuestion, WoodAtHand } from './tonight.ts'

/** How the wood may be used; `no` is never pulled. `reasons` are those that speak against it. */
export interface Fit {
  readonly use: 'ready' | 'caution' | 'no'
  readonly reasons: readonly Reason[]
}

/** The bath that judgement is told of for a soak that has not begun. */
const PLANNED_BATH = 'planned'

/**
 * Judges wood for a plan: everything but its soak as it stands now, and its soak, and whatever
 * would stop it, as they will stand at `readyAt`. Held wood is not used, whatever the policies.
 *
 * @param times null when no new soak can be long enough; then only wood in water can be fit
 */
export function fitForTonight(
  wood: WoodAtHand,
  plan: RowPlan,
  given: { question: TonightQuestion; policies: Policies; times: SoakTimes | null },
): Fit {
  const { question, policies, times } = given
  // A plan that names no scheme asks for its class within the scheme of each lot.
  const scheme = plan.scheme ?? (plan.minimumClass === null ? null : wood.facts.scheme)
  const facts = { ...wood.facts, plan: { ...plan, scheme } }
  const ends = question.readyAt - question.drainMinutes * 60_000
  const soaked = withSoak(facts, wood, times, ends)
  const isSoak = ({ code }: Reason): boolean => code.startsWith('soak.')
  const today = judge(facts, policies, question.now).reasons.filter((reason) => !isSoak(reason))
  const later = judge(soaked, policies, question.readyAt).reasons
  const coming = later.filter((reason) => isSoak(reason) || reason.verdict === 'stop')
  const known = new Set(today.map(({ code }) => code))
  const reasons = [...today, ...coming.filter(({ code }) => !known.has(code))]
  const against = reasons.filter(({ verdict }) => verdict !== 'ready')
  const isHeld = reasons.some(({ code }) => code.startsWith('hold.'))
  const isSoaked = later.some(({ code }) => code === 'soak.right')
  if (isHeld || !isSoaked || verdictOf(reasons) === 'stop') return { use: 'no', reasons: against }
  return { use: verdictOf(reasons) === 'ready' ? 'ready' : 'caution', reasons: against }
}

/** The facts as they will be: in the bath until it is drained, out of its place since then. */
function withSoak(
  facts: KnownLotFacts,
  wood: WoodAtHand,
  times: SoakTimes | null,
  ends: number,
): KnownLotFacts {
  if (wood.inWaterSince !== null) {
    const soaks = facts.soaks.map((soak) => (soak.endedAt === null ? until(soak, ends) : soak))
    return { ...facts, soaks, stays: closed(facts, wood.inWaterSince) }
  }
  if (times === null) return facts
  const { intoWaterAt, outOfWaterAt } = times
  const planned = { bathId: PLANNED_BATH, beganAt: intoWaterAt, endedAt: outOfWaterAt }
  return { ...facts, soaks: [...facts.soaks, planned], stays: closed(facts, intoWaterAt) }
}

function closed(facts: KnownLotFacts, at: number): KnownLotFacts['stays'] {
  return facts.stays.map((stay) => (stay.endedAt === null ? until(stay, at) : stay))
}

function until<T extends { readonly beganAt: number }>(span: T, at: number) {
  return { ...span, endedAt: Math.max(span.beganAt, at) }
}
