// How wet wood is, with the basis always named, and how much of its water or weight it has lost.

/** What a share of water is reckoned on. */
export type MoistureBasis = 'fresh weight' | 'dry weight'

/** Water in wood by both bases. `ofFresh` is below 1; `ofDry` may be above it. */
export interface Moisture {
  /** Grams of water in a gram of wood as it was weighed. */
  readonly ofFresh: number
  /** Grams of water for a gram of dry wood. */
  readonly ofDry: number
}

/**
 * Water content from a sample weighed fresh and after drying, in the same unit.
 *
 * @throws RangeError when a weight is not above 0, or the dry weight exceeds the fresh one
 */
export function moistureOfWeights(fresh: number, dry: number): Moisture {
  weight('fresh weight', fresh)
  weight('dry weight', dry)
  if (dry > fresh) {
    throw new RangeError(`the dry weight ${dry} cannot exceed the fresh weight ${fresh}`)
  }
  return { ofFresh: (fresh - dry) / fresh, ofDry: (fresh - dry) / dry }
}

/**
 * Water content from one figure and its basis: 0.52 g for a gram of dry wood is 0.52 / 1.52, which
 * is 34.2 % of the fresh weight.
 *
 * @param share from 0; for fresh weight below 1
 * @throws RangeError when there cannot be such a share
 */
export function moistureOfShare(share: number, basis: MoistureBasis): Moisture {
  if (!(share >= 0 && Number.isFinite(share)) || (basis === 'fresh weight' && share >= 1)) {
    throw new RangeError(`${share} cannot be a share of water of the ${basis}`)
  }
  return basis === 'fresh weight'
    ? { ofFresh: share, ofDry: share / (1 - share) }
    : { ofFresh: share / (1 + share), ofDry: share }
}

/** What a stick has lost between two weighings. */
export interface WeightLoss {
  /** Share of the first weight, all of it water. */
  readonly ofWeight: number
  /** Share of the water that was in it; null when the first moisture is not known. */
  readonly ofWater: number | null
  /** Moisture now as a share of the fresh weight; null when the first is not known. */
  readonly ofFreshNow: number | null
}

/**
 * Loss between two weighings of the same wood, by both bases: 100 g at 50 % that weigh 90 g have
 * lost 10 % of their weight and 20 % of their water. Wood that gained weight has a loss below 0.
 *
 * @param ofFreshThen moisture at the first weighing as a share of fresh weight, or null
 * @throws RangeError when a weight is not above 0, or more was lost than there was water
 */
export function lossBetween(then: number, now: number, ofFreshThen: number | null): WeightLoss {
  weight('first weight', then)
  weight('weight now', now)
  const ofWeight = (then - now) / then
  if (ofFreshThen === null || ofFreshThen === 0) {
    return { ofWeight, ofWater: null, ofFreshNow: null }
  }
  const water = then * moistureOfShare(ofFreshThen, 'fresh weight').ofFresh
  const left = water - (then - now)
  if (left < 0) {
    throw new RangeError(`${then - now} lost is more than the ${water} of water that was there`)
  }
  return { ofWeight, ofWater: (then - now) / water, ofFreshNow: left / now }
}

function weight(name: string, value: number): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new RangeError(`the ${name} must be above 0, not ${value}`)
  }
}
