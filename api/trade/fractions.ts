// Exact fractions of whole numbers, for shares that must add up to one without rounding.

/** A fraction in lowest terms; the denominator is at least 1. */
export interface Fraction {
  readonly numerator: bigint
  readonly denominator: bigint
}

export const ZERO: Fraction = { numerator: 0n, denominator: 1n }
export const ONE: Fraction = { numerator: 1n, denominator: 1n }

/**
 * Makes a fraction in lowest terms.
 *
 * @throws RangeError when the denominator is zero
 */
export function fraction(numerator: bigint, denominator: bigint): Fraction {
  if (denominator === 0n) throw new RangeError('a fraction needs a denominator other than 0')
  const divisor = greatestCommonDivisor(numerator, denominator)
  const sign = denominator < 0n ? -1n : 1n
  return {
    numerator: (sign * numerator) / divisor,
    denominator: (sign * denominator) / divisor,
  }
}

export function addFractions(one: Fraction, other: Fraction): Fraction {
  return fraction(
    one.numerator * other.denominator + other.numerator * one.denominator,
    one.denominator * other.denominator,
  )
}

export function multiplyFractions(one: Fraction, other: Fraction): Fraction {
  return fraction(one.numerator * other.numerator, one.denominator * other.denominator)
}

/** The nearest floating-point number, for drawing only: sums of these need not be exact. */
export function fractionToNumber(value: Fraction): number {
  const whole = value.numerator / value.denominator
  const rest = value.numerator % value.denominator
  // 2^60 keeps more digits than a double holds, whatever the size of the two numbers.
  const scaled = (rest << 60n) / value.denominator
  return Number(whole) + Number(scaled) / 2 ** 60
}

/** The fraction as it is read: '3/5', or '1' for a whole number. */
export function fractionText(value: Fraction): string {
  if (value.denominator === 1n) return value.numerator.toString()
  return `${value.numerator}/${value.denominator}`
}

function greatestCommonDivisor(one: bigint, other: bigint): bigint {
  let a = one < 0n ? -one : one
  let b = other < 0n ? -other : other
  while (b !== 0n) [a, b] = [b, a % b]
  return a
}
