// Pages of the journal as devices and mirrors pull them, and the lines of an exported journal.
import { z } from 'zod'

/** Most entries on one page of the journal. */
export const JOURNAL_PAGE_LIMIT = 1000
/** Entries on a page when the reader does not say. */
export const JOURNAL_PAGE = 500
/** Largest page, in bytes of entries; a page holds at least one entry all the same. */
export const JOURNAL_PAGE_BYTE_LIMIT = 8 * 1024 * 1024

/** One line of the journal: the entry with what the server added when it was recorded. */
export const JournalLine = z
  .strictObject({
    index: z.int().min(0).describe('its place in the journal, from 0 and without a gap'),
    recordedAt: z
      .string()
      .regex(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$/)
      .describe('when the server recorded it, in UTC, to the microsecond'),
    leafHash: z
      .string()
      .regex(/^[0-9a-f]{64}$/)
      .describe('SHA-256 of a zero byte and the entry, RFC 6962 §2.1, in hexadecimal'),
    entry: z
      .looseObject({ id: z.string(), kind: z.string() })
      .describe('the entry: in the text its exact canonical bytes, RFC 8785'),
  })
  .meta({ id: 'JournalLine' })

/** The line that closes an exported journal: how many entries came before it. */
export const JournalEnd = z.strictObject({ end: z.int().min(0) })

/** A page of the journal. Ask next from `next`; when `lines` is empty you have everything. */
export const JournalPage = z
  .strictObject({
    lines: z.array(JournalLine),
    next: z.int().min(0).describe('the index to ask from next; it never skips an entry'),
    size: z.int().min(0).describe('how many entries the journal held when this page was read'),
  })
  .meta({ id: 'JournalPage' })
