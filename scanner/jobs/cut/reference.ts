// Makes a lot's reference on a phone that cannot ask which are taken.
import { TAG_ALPHABET } from '#trade/tag-code.ts'

/** Characters that stand for the phone: four of 32 each, a million in all. */
const MARK_LENGTH = 4
const HEX_DIGITS = 5

/** Four characters for this phone, from the random end of its device id. */
export function phoneMark(deviceId: string): string {
  let bits = Number.parseInt(deviceId.replaceAll('-', '').slice(-HEX_DIGITS), 16)
  let mark = ''
  while (mark.length < MARK_LENGTH) {
    mark = TAG_ALPHABET.charAt(bits & 31) + mark
    bits >>= 5
  }
  return mark
}

/**
 * The next free reference of this phone: the last two digits of the year, the phone's mark and a
 * running number, like `27-7KQF-03`. No other phone makes the same ones, so no network is needed.
 */
export function nextReference(year: number, deviceId: string, known: readonly string[]): string {
  const prefix = `${String(year % 100).padStart(2, '0')}-${phoneMark(deviceId)}-`
  const numbers = known
    .filter((reference) => reference.startsWith(prefix))
    .map((reference) => reference.slice(prefix.length))
    .filter((rest) => /^\d{1,6}$/.test(rest))
    .map(Number)
  return `${prefix}${String(Math.max(0, ...numbers) + 1).padStart(2, '0')}`
}

/**
 * The year that the wood most likely grew in: canes cut from January to May grew in the year
 * before (common practice, no source); the person sees it and can change it.
 */
export function likelyHarvestYear(now: Date): number {
  return now.getMonth() < 5 ? now.getFullYear() - 1 : now.getFullYear()
}
