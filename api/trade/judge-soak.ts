// How long wood has lain in water, and how long it has been out of it since.
import { outOfWaterLimits } from './drying.ts'
import { coveredMs, MS_PER_HOUR, MS_PER_MINUTE, uncoveredMs } from './intervals.ts'
import type { KnownLotFacts, SoakFacts, StayFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'

/** Soaks with no more than `outOfWaterCautionHours` between them, counted as one. */
export interface SoakEpisode {
  readonly beganAt: number
  /** Null while the wood lies in the water. */
  readonly endedAt: number | null
  /** Time in water, overlaps counted once; milliseconds. */
  readonly soakedMs: number
}

/**
 * Judges the last soak of scion or rootstock wood. A least time of 0 hours says that this nursery
 * need not soak, and then unsoaked wood is no fault. Vines are not judged by soaking.
 */
export function judgeSoak(lot: KnownLotFacts, policies: Policies, now: number): Reason[] {
  if (lot.material !== 'scion wood' && lot.material !== 'rootstock wood') return []
  const minHours = policies.soakMinHours.value
  const maxHours = policies.soakMaxHours.value
  const episodes = soakEpisodes(lot.soaks, policies.outOfWaterCautionHours.value, now)
  const last = episodes.at(-1)
  if (last === undefined) {
    return minHours > 0 ? [reasonOf('soak.not_soaked', { minHours, maxHours })] : []
  }
  return [
    judgeLength(last, minHours, maxHours),
    ...judgeOutOfWater(last, lot, policies, now),
    ...judgeDriedBetween(episodes, lot.stays, policies),
  ]
}

/** Joins soaks, in any order, into episodes in the order of time. Times in epoch milliseconds. */
export function soakEpisodes(
  soaks: readonly SoakFacts[],
  joinHours: number,
  now: number,
): readonly SoakEpisode[] {
  const ordered = [...soaks].sort((one, other) => one.beganAt - other.beganAt)
  const groups: SoakFacts[][] = []
  let reachedAt = Number.NEGATIVE_INFINITY
  for (const soak of ordered) {
    const group = groups.at(-1)
    const joins = group !== undefined && soak.beganAt - reachedAt <= joinHours * MS_PER_HOUR
    if (joins) group.push(soak)
    else groups.push([soak])
    const endAt = Math.max(soak.beganAt, soak.endedAt ?? Number.POSITIVE_INFINITY)
    reachedAt = Math.max(reachedAt, endAt)
  }
  return groups.map((group) => episodeOf(group, now))
}

function episodeOf(group: readonly SoakFacts[], now: number): SoakEpisode {
  const beganAt = Math.min(...group.map((soak) => soak.beganAt))
  const ends = group.map((soak) => Math.max(soak.beganAt, soak.endedAt ?? Number.POSITIVE_INFINITY))
  const lastEnd = Math.max(...ends)
  const endedAt = Number.isFinite(lastEnd) ? lastEnd : null
  return { beganAt, endedAt, soakedMs: coveredMs(beganAt, endedAt ?? now, group) }
}

function judgeLength(episode: SoakEpisode, minHours: number, maxHours: number): Reason {
  const soakedMinutes = wholeMinutes(episode.soakedMs)
  const inWater = episode.endedAt === null ? 'yes' : 'no'
  if (soakedMinutes > maxHours * 60) {
    return reasonOf('soak.too_long', { soakedMinutes, maxHours, inWater })
  }
  if (soakedMinutes >= minHours * 60) {
    return reasonOf('soak.right', { soakedMinutes, maxHours, inWater })
  }
  const facts = { soakedMinutes, minHours, maxHours }
  return inWater === 'yes' ? reasonOf('soak.soaking', facts) : reasonOf('soak.too_short', facts)
}

/**
 * Time outside cooled places decides, with less of it allowed in air that dries strongly; time
 * drained but cold only asks to soak again.
 */
function judgeOutOfWater(
  episode: SoakEpisode,
  lot: KnownLotFacts,
  policies: Policies,
  now: number,
): Reason[] {
  if (episode.endedAt === null) return []
  const outMinutes = Math.max(0, wholeMinutes(now - episode.endedAt))
  const warmMinutes = wholeMinutes(warmMs(episode.endedAt, now, lot.stays))
  const { cautionHours, maxHours, vpdKPa } = outOfWaterLimits(policies, lot.dryingAir, now)
  const facts = { outMinutes, warmMinutes, vpdKPa }
  if (warmMinutes > maxHours * 60) {
    return [reasonOf('soak.out_too_long', { ...facts, limitHours: maxHours })]
  }
  if (warmMinutes > cautionHours * 60) {
    return [reasonOf('soak.out_long', { ...facts, limitHours: cautionHours })]
  }
  const limitHours = policies.outOfWaterMaxHours.value
  if (outMinutes > limitHours * 60) {
    return [reasonOf('soak.long_ago', { outMinutes, warmMinutes, limitHours })]
  }
  return []
}

/** Wood that dried out is no sounder for having been soaked again (French arrêté, annex). */
function judgeDriedBetween(
  episodes: readonly SoakEpisode[],
  stays: readonly StayFacts[],
  policies: Policies,
): Reason[] {
  const limitHours = policies.outOfWaterMaxHours.value
  let dryMinutes = 0
  for (const [index, episode] of episodes.entries()) {
    const before = episodes[index - 1]
    if (before === undefined || before.endedAt === null) continue
    const warm = warmMs(before.endedAt, episode.beganAt, stays)
    dryMinutes = Math.max(dryMinutes, wholeMinutes(warm))
  }
  return dryMinutes > limitHours * 60 ? [reasonOf('soak.resoaked', { dryMinutes, limitHours })] : []
}

function warmMs(from: number, to: number, stays: readonly StayFacts[]): number {
  return uncoveredMs(
    from,
    to,
    stays.filter((stay) => stay.cooled),
  )
}

function wholeMinutes(lengthMs: number): number {
  return Math.floor(lengthMs / MS_PER_MINUTE)
}
