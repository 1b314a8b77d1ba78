// GET /api/journal: pages of the journal, for devices that pull and for mirrors that keep a copy.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import {
  JOURNAL_PAGE,
  JOURNAL_PAGE_BYTE_LIMIT,
  JOURNAL_PAGE_LIMIT,
  JournalPage,
} from '#wire/api-journal.ts'
import { journalLine } from '../journal/line.ts'
import { readJournal } from '../journal/read-journal.ts'
import type { ApiEnv, Readers } from './device.ts'
import { wholeNumber } from './parameters.ts'
import { problems } from './problems.ts'

const lineType = 'application/x-ndjson'

/** Adds the operation to the machine API. */
export function addPull(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(route(readers), async (c) => {
    const { from = 0, limit = JOURNAL_PAGE } = c.req.valid('query')
    const { db } = c.get('services')
    const page = await readJournal(db, { from, limit, byteLimit: JOURNAL_PAGE_BYTE_LIMIT })
    const lines = page.rows.map(journalLine)
    const next = `/api/journal?from=${page.next}&limit=${limit}`
    c.header('link', `<${next}>; rel="next"`)
    c.header('vary', 'accept')
    if ((c.req.header('accept') ?? '').includes(lineType)) {
      return c.body(lines.map((line) => `${line}\n`).join(''), 200, { 'content-type': lineType })
    }
    const text = `{"lines":[${lines.join(',')}],"next":${page.next},"size":${page.size}}`
    return c.body(text, 200, { 'content-type': 'application/json' })
  })
}

/** Written out by hand where it answers: the entries must keep their exact bytes. */
const page = {
  description: 'a page of the journal; ask for the lines alone with Accept: application/x-ndjson',
  content: {
    'application/json': { schema: JournalPage },
    [lineType]: {
      schema: z.string().describe('a JournalLine on each line, each ended by a line feed'),
    },
  },
}

const route = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/journal',
    operationId: 'pullJournal',
    tags: ['journal'],
    summary: 'Pull the journal',
    description:
      'Entries in the order in which they were recorded. Go on from `next` (or one past the last ' +
      'index): an entry never appears before an index that was already given out. In the text ' +
      'each entry stands as its exact canonical bytes, so that its leafHash can be checked.',
    middleware: readers,
    request: {
      query: z.strictObject({
        from: wholeNumber(0, Number.MAX_SAFE_INTEGER).optional(),
        limit: wholeNumber(1, JOURNAL_PAGE_LIMIT).optional(),
      }),
    },
    responses: { 200: page as { description: string }, ...problems(400, 401, 403, 429) },
  })
