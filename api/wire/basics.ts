// The small shapes that every entry is made of: ids, times, texts, wood, accounts, things.
import { z } from 'zod'

/** Longest name or reference, in characters. */
export const NAME_LIMIT = 120
/** Longest free note, in characters. */
export const NOTE_LIMIT = 1000
/** Most sticks, buds or vines that one line of an entry may carry. */
export const COUNT_LIMIT = 1_000_000
/** Longest row, in positions. */
export const POSITION_LIMIT = 2000
/** Stands where an account or a lot's loose wood has no id of its own. */
export const NIL_ID = '00000000-0000-0000-0000-000000000000'

/** Any lower-case UUID: 8-4-4-4-12 hexadecimal digits. */
export const Id = z
  .string()
  .regex(/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/, 'a lower-case UUID is needed here')

/** A lower-case UUID of version 7 (RFC 9562 §5.7), as every entry id is. */
export const EntryId = z
  .string()
  .regex(
    /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/,
    'a lower-case UUID of version 7 is needed here',
  )

/**
 * ISO 8601 date and time with its offset, to the second or finer, from 1990 to 2099. No place on
 * earth is more than 14 hours from UTC, and PostgreSQL refuses offsets from 16 hours on.
 */
export const When = z
  .string()
  .max(35)
  .regex(
    /^(199\d|20\d\d)-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-](0\d|1[0-4]):[0-5]\d)$/,
    'a date and time with offset is needed here, like 2027-02-03T14:05:00+01:00',
  )
  .refine((text) => isRealTime(text), 'this date and time does not exist')

/** ISO 8601 calendar date, from 1900 to 2099. */
export const Day = z
  .string()
  .regex(/^(19|20)\d\d-\d\d-\d\d$/, 'a date is needed here, like 2027-02-03')
  .refine((text) => isRealTime(`${text}T00:00:00Z`), 'this date does not exist')

/** Visible text on one line: no control, bidirectional, zero-width or private characters. */
export const Name = z
  .string()
  .min(1, 'a text is needed here')
  .max(NAME_LIMIT)
  .regex(
    /^[^\p{Cc}\p{Cs}\p{Co}\u200B-\u200F\u2028-\u202E\u2060-\u2069\uFEFF]+$/u,
    'this text holds a character that does not print',
  )
  .refine((text) => text === text.trim() && text === text.normalize('NFC'), {
    message: 'this text must be in Unicode form NFC and have no space at either end',
  })

/** A free note; may have line breaks and tabs. */
export const Note = z
  .string()
  .max(NOTE_LIMIT)
  .regex(
    /^(?:[\n\t]|[^\p{Cc}\p{Cs}\p{Co}\u200B-\u200F\u2028-\u202E\u2060-\u2069\uFEFF])*$/u,
    'this note holds a character that does not print',
  )

/** Why something was done: never empty. */
export const Reason = Note.min(1, 'a reason is needed here')

/** Whole things, at least one. */
export const Count = z.int().min(1).max(COUNT_LIMIT)
/** Whole things, none allowed. */
export const CountOrNone = z.int().min(0).max(COUNT_LIMIT)
/** A vine's position in its row, from 1 at the row's head. */
export const Position = z.int().min(1).max(POSITION_LIMIT)
/** A year as four digits. */
export const Year = z.int().min(1800).max(2099)
/** What is counted: a length of cane, or a bud. */
export const Unit = z.enum(['stick', 'bud'])
/** What the wood is. */
export const Material = z.enum([
  'scion wood',
  'rootstock wood',
  'grafted vine',
  'rooted vine',
  'potted vine',
])

/** Ten Crockford base32 characters and an ISO/IEC 7064 MOD 37,36 check character. */
export const TagCode = z
  .string()
  .regex(/^[0-9A-HJKMNP-TV-Z]{11}$/, 'a tag code has eleven characters, without I, L, O or U')

/** Where a quantity of wood stands in the double-entry books. */
export const Account = z.strictObject({
  kind: z.enum(['source', 'supplier', 'place', 'bath', 'holder', 'unknown']),
  id: Id.describe('the id of the source, party, place, bath or person; nil for unknown'),
})

/** A quantity of one lot, from one bundle or loose. */
export const Wood = z.strictObject({
  lotId: Id,
  bundleId: Id.nullable().describe('the tagged bundle it came from; null for loose wood'),
  unit: Unit,
  count: Count,
})

/** A vine's address: the row and the position counted from the row's head. */
export const VineAddress = z.strictObject({ rowId: Id, position: Position })

/** What a tag can be bound to. */
export const ThingKind = z.enum(['lot', 'bundle', 'place', 'row', 'source', 'knife', 'bath'])
/** One thing that a tag can be bound to. */
export const Thing = z.strictObject({ kind: ThingKind, id: Id })

/** Where the wood of a trunk layer came from, as far as it is known. */
export const LayerOrigin = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('lot'), id: Id }),
  z.strictObject({ kind: z.literal('source'), id: Id }),
  z.strictObject({ kind: z.literal('unknown') }),
])

export type WoodShape = z.infer<typeof Wood>
export type AccountShape = z.infer<typeof Account>
export type ThingShape = z.infer<typeof Thing>

function isRealTime(text: string): boolean {
  const time = Date.parse(text)
  if (Number.isNaN(time)) return false
  const day = text.slice(0, 10)
  const midnight = new Date(`${day}T00:00:00Z`)
  return !Number.isNaN(midnight.getTime()) && midnight.toISOString().slice(0, 10) === day
}
