// The parameters that operations of the machine API share.
import { z } from 'zod'
import { Id, POSITION_LIMIT } from '#wire/basics.ts'

/** A whole number in a path or query, in digits alone; documented as an integer. */
export function wholeNumber(minimum: number, maximum: number) {
  const message = `a whole number from ${minimum} to ${maximum} is needed here`
  return z
    .string()
    .regex(/^(0|[1-9]\d{0,15})$/, { message, abort: true })
    .transform(Number)
    .refine((number) => number >= minimum && number <= maximum, message)
    .meta({ type: 'integer', minimum, maximum })
}

/** Most pages of a list that can be asked for. */
const PAGE_NUMBER_LIMIT = 100_000

/** A page of a list, from 0. */
export const PageNumber = wholeNumber(0, PAGE_NUMBER_LIMIT).optional()

/** Text to find, at most 100 characters. */
export const FindText = z
  .string()
  .max(100, 'at most 100 characters are looked for')
  .regex(/^[^\0]*$/, 'this text holds a character that does not print')
  .optional()

/** A season, named by its year. */
export const Season = wholeNumber(1800, 2099).optional()

/** A vine's address in a path. */
export const VinePath = z.strictObject({ rowId: Id, position: wholeNumber(1, POSITION_LIMIT) })
