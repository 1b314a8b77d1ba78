// Whether the times among a lot's facts can be true: none in the future, none ending too early.
import { MS_PER_MINUTE } from './intervals.ts'
import type { KnownLotFacts, LotFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'

/**
 * One caution for the latest doubtful time. A snapshot from the future shows a phone whose clock
 * runs behind: it would take old wood for young.
 */
export function judgeClock(lot: LotFacts, policies: Policies, now: number): Reason[] {
  const latest = now + policies.clockToleranceMinutes.value * MS_PER_MINUTE
  const late = timesOf(lot).filter((time) => time.at > latest)
  const spans = lot.known ? [...lot.stays, ...lot.soaks] : []
  const backwards = spans.flatMap((span) =>
    span.endedAt !== null && span.endedAt < span.beganAt
      ? [{ what: 'end before beginning', at: span.endedAt }]
      : [],
  )
  const doubtful = [...late, ...backwards].sort(
    (one, other) => other.at - one.at || (one.what < other.what ? -1 : 1),
  )
  const worst = doubtful[0]
  return worst === undefined ? [] : [reasonOf('clock.disagrees', worst)]
}

/** The furthest moment from 1970 that a date can hold (ECMAScript, Time Values). */
const FURTHEST_TIME_MS = 8.64e15

/**
 * Refuses facts that would compare as neither too old nor too young.
 *
 * @throws RangeError naming the first time or count that is no possible time or count
 */
export function assertFacts(lot: LotFacts, now: number): void {
  const numbers = [{ what: 'now', at: now }, ...timesOf(lot), ...(lot.known ? countsOf(lot) : [])]
  const wrong = numbers.find((entry) => !(Math.abs(entry.at) <= FURTHEST_TIME_MS))
  if (wrong !== undefined) {
    throw new RangeError(
      `judge: ${wrong.what} is ${wrong.at}, not a number that can be a time or count`,
    )
  }
}

interface NamedTime {
  readonly what: string
  readonly at: number
}

function timesOf(lot: LotFacts): NamedTime[] {
  const times: NamedTime[] = []
  const add = (what: string, at: number | null): void => {
    if (at !== null) times.push({ what, at })
  }
  add('snapshot', lot.snapshotAt)
  if (!lot.known) return times
  add('cut', lot.cutAt)
  for (const source of lot.sources) add('cut', source.cutAt ?? null)
  add('received', lot.receivedAt)
  for (const stay of lot.stays) {
    add('stay began', stay.beganAt)
    add('stay ended', stay.endedAt)
  }
  for (const soak of lot.soaks) {
    add('soak began', soak.beganAt)
    add('soak ended', soak.endedAt)
  }
  add('buds looked at', lot.checks?.buds?.checkedAt ?? null)
  add('cambium looked at', lot.checks?.cambium?.checkedAt ?? null)
  add('moisture measured', lot.checks?.moisture?.checkedAt ?? null)
  add('weather read', lot.dryingAir?.readAt ?? null)
  return times
}

function countsOf(lot: KnownLotFacts): NamedTime[] {
  const changes = lot.sources.flatMap((source) => source.standings)
  return [
    ...changes.map((change) => ({ what: 'standing since', at: change.fromAt })),
    ...[lot.checks?.buds, lot.checks?.cambium].flatMap((check) => [
      { what: 'alive', at: check?.live ?? 0 },
      { what: 'looked at', at: check?.sampled ?? 0 },
    ]),
    { what: 'moisture', at: lot.checks?.moisture?.ofFresh ?? 0 },
    { what: 'water lost', at: lot.checks?.moisture?.lostOfWater ?? 0 },
    { what: 'weight lost', at: lot.checks?.moisture?.lostOfWeight ?? 0 },
    { what: 'drying power', at: lot.dryingAir?.vpdKPa ?? 0 },
    { what: 'sticks left', at: lot.left?.sticks ?? 0 },
    { what: 'buds left', at: lot.left?.buds ?? 0 },
  ]
}
