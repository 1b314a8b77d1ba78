// Reads from an address which recall is asked for, and names where the agent was found.
import type { Context } from 'hono'
import { Day, Id, Name, POSITION_LIMIT } from '#wire/basics.ts'
import type { Database } from '../../../db/connect.ts'
import { readNames } from '../../journal/names.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { readRecall } from '../../trace/recall.ts'
import type { Recall, RecallQuestion } from '../../trace/recall.ts'
import type { RecallStart } from '../../trace/recall-start.ts'

/** A recall with the name of where it starts and the query that leads to it again. */
export type AskedRecall = { recall: Recall; label: string; query: string }

/** The recall that the address asks for; refuses, in words, what cannot be asked. */
export async function askedRecall(c: Context<Env>): Promise<AskedRecall> {
  const { db } = c.get('services')
  const question = readQuestion({
    on: c.req.query('on') ?? '',
    agent: c.req.query('agent') ?? '',
    found: c.req.query('found') ?? '',
  })
  const label = await startLabel(db, question.start)
  return { recall: await readRecall(db, question), label, query: recallQuery(question) }
}

/** The query of a recall's address. */
export function recallQuery({ start, agent, foundOn }: RecallQuestion): string {
  const on =
    start.kind === 'vine' ? `vine ${start.rowId} ${start.position}` : `${start.kind} ${start.id}`
  return new URLSearchParams({ on, agent, found: foundOn }).toString()
}

/** `source <id>`, `lot <id>` or `vine <row id> <position>`; null for anything else. */
export function readStart(on: string): RecallStart | null {
  const [kind = '', id = '', position = ''] = on.split(' ')
  if (!Id.safeParse(id).success) return null
  if (kind === 'source' || kind === 'lot') return { kind, id }
  const isPosition = /^[1-9]\d{0,4}$/.test(position) && Number(position) <= POSITION_LIMIT
  return kind === 'vine' && isPosition ? { kind, rowId: id, position: Number(position) } : null
}

function readQuestion(asked: { on: string; agent: string; found: string }): RecallQuestion {
  const start = readStart(asked.on)
  if (start === null) {
    refuse('bad_request', 'say where the agent was found: a source, a lot or a vine')
  }
  const agent = Name.safeParse(asked.agent.trim())
  if (!agent.success) refuse('bad_request', 'say which health agent was found')
  const foundOn = Day.safeParse(asked.found)
  if (!foundOn.success) {
    refuse('bad_request', 'say on which day the sample was taken, like 2027-05-01')
  }
  return { start, agent: agent.data, foundOn: foundOn.data }
}

/** What people call the thing where an agent was found; refuses what no entry tells of. */
export async function startLabel(db: Database, start: RecallStart): Promise<string> {
  const id = start.kind === 'vine' ? start.rowId : start.id
  const name = (await readNames(db, [id])).get(id)
  if (name === undefined) {
    refuse('not_found', `no entry tells of this ${start.kind}`, { status: 404 })
  }
  return start.kind === 'vine' ? `vine ${start.position} of ${name}` : `${start.kind} ${name}`
}
