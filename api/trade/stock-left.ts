// What sticks and buds come to together, and what is left when sticks were opened for their buds.
import type { StockLeft } from './lot-facts.ts'

/**
 * What sticks and buds come to, in buds: sticks × buds per stick + buds. Wood without usable buds
 * counts by the stick, so that its stock is not nothing.
 */
export function budEquivalents({ sticks, buds }: StockLeft, budsPerStick: number): number {
  return sticks * Math.max(1, budsPerStick) + buds
}

/**
 * Buds are set from sticks that were handed out whole: 40 sticks of 6 buds and 130 buds set are 18
 * sticks and 2 buds. More used than there was comes out as buds below zero.
 */
export function openedStock({ sticks, buds }: StockLeft, budsPerStick: number): StockLeft {
  if (sticks >= 0 && buds >= 0) return { sticks, buds }
  const left = budEquivalents({ sticks, buds }, budsPerStick)
  if (left < 0 || sticks < 0) return { sticks: 0, buds: left }
  const whole = Math.floor(left / Math.max(1, budsPerStick))
  return { sticks: whole, buds: left - whole * Math.max(1, budsPerStick) }
}
