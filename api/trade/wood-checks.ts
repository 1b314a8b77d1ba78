// What judgement knows of the latest checks of a lot's wood and of the air it dries in.

/** Buds, or cambium of sticks, that were looked at. Times in epoch milliseconds. */
export interface CountedCheck {
  readonly checkedAt: number
  readonly live: number
  readonly sampled: number
}

/** How wet the wood was; shares from 0 to 1, null where the check does not say. */
export interface MoistureCheck {
  readonly checkedAt: number
  /** Water as a share of fresh weight. */
  readonly ofFresh: number | null
  /** Share of its water lost since cutting. */
  readonly lostOfWater: number | null
  /** Share of its weight lost since cutting. */
  readonly lostOfWeight: number | null
}

/** The latest check of each sort; null where there was none. */
export interface WoodChecks {
  /** By cut bud or forcing test. */
  readonly buds: CountedCheck | null
  /** By scratching sticks: says nothing of the buds. */
  readonly cambium: CountedCheck | null
  readonly moisture: MoistureCheck | null
}

/** How strongly air dries: the most that was read within the last day before `readAt`. */
export interface DryingAir {
  readonly readAt: number
  readonly vpdKPa: number
}

/** Wood of several origins is as good as the worst of them: the lower share, the older check. */
export function worstChecks(all: readonly WoodChecks[]): WoodChecks {
  return {
    buds: worstCount(all.map(({ buds }) => buds)),
    cambium: worstCount(all.map(({ cambium }) => cambium)),
    moisture: worstMoisture(all.map(({ moisture }) => moisture)),
  }
}

/** One origin that nobody checked makes the whole unchecked. */
function worstCount(checks: readonly (CountedCheck | null)[]): CountedCheck | null {
  const known = checks.filter((check) => check !== null)
  if (known.length < checks.length) return null
  const share = ({ live, sampled }: CountedCheck): number => (sampled === 0 ? 0 : live / sampled)
  const worst = [...known].sort((one, other) => share(one) - share(other))[0]
  if (worst === undefined) return null
  return { ...worst, checkedAt: Math.min(...known.map(({ checkedAt }) => checkedAt)) }
}

/** A dry part is dry whatever the other parts are. */
function worstMoisture(checks: readonly (MoistureCheck | null)[]): MoistureCheck | null {
  const known = checks.filter((check) => check !== null)
  if (known.length === 0) return null
  const lowest = (values: readonly (number | null)[]): number | null => {
    const numbers = values.filter((value) => value !== null)
    return numbers.length === 0 ? null : Math.min(...numbers)
  }
  const highest = (values: readonly (number | null)[]): number | null => {
    const least = lowest(values.map((value) => (value === null ? null : -value)))
    return least === null ? null : -least
  }
  return {
    checkedAt: Math.min(...known.map(({ checkedAt }) => checkedAt)),
    ofFresh: lowest(known.map(({ ofFresh }) => ofFresh)),
    lostOfWater: highest(known.map(({ lostOfWater }) => lostOfWater)),
    lostOfWeight: highest(known.map(({ lostOfWeight }) => lostOfWeight)),
  }
}
