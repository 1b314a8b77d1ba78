// How many buds, sticks and packages an order needs, in whole numbers without rounding slips.

/** What is to be grafted and how wood is counted; the last four come from policies. */
export interface BudOrder {
  readonly vines: number
  readonly budsPerVine: number
  /** Extra buds as a share of those to be set: 0.5 orders half as many again. */
  readonly overageShare: number
  readonly usableBudsPerStick: number
  readonly packageSticks: number
}

export interface BudSupply {
  /** Buds that will be set: vines × buds per vine. */
  readonly budsToSet: number
  /** Buds to order, the overage included, rounded up. */
  readonly budsToOrder: number
  /** Sticks that carry them, rounded up. */
  readonly sticks: number
  readonly packages: number
  /** Sticks in whole packages, and how many of them are over. */
  readonly sticksInPackages: number
  readonly sparesInPackages: number
}

/** Shares are exact to this many parts, so that 10 % more of 1,000 is 1,100 and not 1,101. */
const PARTS = 1_000_000

/**
 * Works out an order: vines × buds × (1 + overage) / buds per stick, rounded up to whole buds,
 * sticks and packages.
 *
 * @throws RangeError naming the field that is no whole number in its range
 */
export function budSupply(order: BudOrder): BudSupply {
  const vines = wholeNumber('vines', order.vines, 0)
  const budsPerVine = wholeNumber('budsPerVine', order.budsPerVine, 1)
  const budsPerStick = wholeNumber('usableBudsPerStick', order.usableBudsPerStick, 1)
  const packageSticks = wholeNumber('packageSticks', order.packageSticks, 1)
  const budsToSet = vines * budsPerVine
  const withOverage = budsToSet * (BigInt(PARTS) + partsOf('overageShare', order.overageShare))
  const budsToOrder = dividedUp(withOverage, BigInt(PARTS))
  const sticks = dividedUp(budsToOrder, budsPerStick)
  const packages = dividedUp(sticks, packageSticks)
  return {
    budsToSet: safe('budsToSet', budsToSet),
    budsToOrder: safe('budsToOrder', budsToOrder),
    sticks: safe('sticks', sticks),
    packages: safe('packages', packages),
    sticksInPackages: safe('sticksInPackages', packages * packageSticks),
    sparesInPackages: safe('sparesInPackages', packages * packageSticks - sticks),
  }
}

/**
 * Buds to take so that enough of them live: wanted × checked / alive, rounded up.
 *
 * @param alive buds found alive among the checked
 * @param checked buds cut open and looked at
 * @throws RangeError when a number is no count, none was alive, or more lived than were checked
 */
export function budsForLiveShare(budsWanted: number, alive: number, checked: number): number {
  const wanted = wholeNumber('budsWanted', budsWanted, 0)
  const living = wholeNumber('alive', alive, 1)
  const seen = wholeNumber('checked', checked, 1)
  if (living > seen) throw new RangeError(`${alive} alive cannot come from ${checked} checked`)
  return safe('budsToTake', dividedUp(wanted * seen, living))
}

/**
 * What a holding of sticks and cut buds comes to, in buds. Negative holdings (records that
 * disagree) stay negative.
 *
 * @throws RangeError when a count is not whole or a stick carries less than one bud
 */
export function budEquivalents(sticks: number, buds: number, budsPerStick: number): number {
  const perStick = wholeNumber('budsPerStick', budsPerStick, 1)
  const lowest = Number.MIN_SAFE_INTEGER
  const total = wholeNumber('sticks', sticks, lowest) * perStick + wholeNumber('buds', buds, lowest)
  return safe('bud equivalents', total)
}

function wholeNumber(name: string, value: number, min: number): bigint {
  if (!Number.isSafeInteger(value) || value < min) {
    const least = min === Number.MIN_SAFE_INTEGER ? '' : ` of at least ${min}`
    throw new RangeError(`${name} must be a whole number${least}, not ${value}`)
  }
  return BigInt(value)
}

function partsOf(name: string, share: number): bigint {
  if (!Number.isFinite(share) || share < 0 || share > 1000) {
    throw new RangeError(`${name} must be a share of 0 or more, not ${share}`)
  }
  return BigInt(Math.round(share * PARTS))
}

function dividedUp(total: bigint, by: bigint): bigint {
  return (total + by - 1n) / by
}

function safe(name: string, value: bigint): number {
  const number = Number(value)
  if (!Number.isSafeInteger(number)) {
    throw new RangeError(`${name} comes to ${value}, too large a number to count with`)
  }
  return number
}
