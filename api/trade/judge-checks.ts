// Whether the latest look at buds, cambium and moisture speaks against a lot.
import { MS_PER_DAY } from './intervals.ts'
import type { KnownLotFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'
import { wilsonInterval } from './take.ts'
import type { CountedCheck, MoistureCheck } from './wood-checks.ts'

/**
 * Judges scion and rootstock wood by its latest checks; facts without checks (of an older
 * snapshot) give no reason. Rootstock wood carries no buds to be set, so only its moisture and
 * cambium count. A good scratch is necessary and not sufficient, so it clears nothing.
 */
export function judgeChecks(lot: KnownLotFacts, policies: Policies, now: number): Reason[] {
  const { checks } = lot
  if (checks === undefined) return []
  if (lot.material !== 'scion wood' && lot.material !== 'rootstock wood') return []
  const reasons: Reason[] = []
  if (lot.material === 'scion wood') reasons.push(...judgeBuds(lot, checks.buds, policies, now))
  if (checks.cambium !== null) {
    reasons.push(...judgeCount(checks.cambium, 'sticks', policies, now).filter(isAgainst))
  }
  if (checks.moisture !== null) reasons.push(...judgeMoisture(checks.moisture, policies))
  return reasons
}

const isAgainst = ({ verdict }: Reason): boolean => verdict !== 'ready'

function judgeBuds(
  lot: KnownLotFacts,
  check: CountedCheck | null,
  policies: Policies,
  now: number,
): Reason[] {
  const limitDays = policies.viabilityCheckDays.value
  if (check === null) {
    const storedDays = lot.cutAt === null ? null : daysSince(lot.cutAt, now)
    if (storedDays === null || storedDays <= limitDays) return []
    return [reasonOf('check.never', { storedDays, limitDays })]
  }
  const checkedDays = daysSince(check.checkedAt, now)
  const stale = checkedDays > limitDays
  return [
    ...judgeCount(check, 'buds', policies, now),
    ...(stale ? [reasonOf('check.old', { checkedDays, limitDays })] : []),
  ]
}

/** Too low when the whole Wilson interval lies below the least share; else by what was seen. */
function judgeCount(
  { live, sampled, checkedAt }: CountedCheck,
  what: 'buds' | 'sticks',
  policies: Policies,
  now: number,
): Reason[] {
  if (sampled === 0) return []
  const least = policies.viabilityLeastShare.value
  const { low, high } = wilsonInterval(live, sampled)
  const checkedDays = daysSince(checkedAt, now)
  const facts = { live, sampled, what, leastPercent: percent(least), checkedDays }
  if (high < least) return [reasonOf('check.too_low', facts)]
  if (live / sampled < least) return [reasonOf('check.low', facts)]
  return [reasonOf(low < least ? 'check.small' : 'check.good', facts)]
}

function judgeMoisture(check: MoistureCheck, policies: Policies): Reason[] {
  const reasons: Reason[] = []
  const least = policies.moistureLeastShare.value
  if (check.ofFresh !== null && check.ofFresh < least) {
    const facts = { percent: percent(check.ofFresh), leastPercent: percent(least) }
    reasons.push(reasonOf('check.too_dry', facts))
  }
  const most = policies.waterLossMaxShare.value
  // What left was water, and wood is never all water: the share of water lost is the larger one.
  const lost = check.lostOfWater ?? check.lostOfWeight
  if (lost !== null && lost > most) {
    const of = check.lostOfWater === null ? 'weight' : 'water'
    const facts = { lostPercent: percent(lost), of, mostPercent: percent(most) } as const
    reasons.push(reasonOf('check.water_lost', facts))
  }
  return reasons
}

function daysSince(from: number, now: number): number {
  return Math.max(0, Math.floor((now - from) / MS_PER_DAY))
}

/** To one decimal place. */
function percent(share: number): number {
  return Math.round(share * 1000) / 10
}
