// The question of a recall as an address tells it: where an agent was found, which one, and when.
import { v5 } from 'uuid'
import { Day, Id, Name, POSITION_LIMIT } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import { refuse } from '../platform/errors.ts'
import type { RecallQuestion } from './recall.ts'
import type { RecallStart } from './recall-start.ts'

/** The name space (RFC 9562 §5.5) in which recalls get their ids; made for this alone. */
const recallSpace = 'b8f7c7a4-2b0e-4c39-9a55-0f1d3c6a7e21'

/** The parts of an address that ask for a recall. */
export type RecallAddress = { on: string; agent: string; found: string }

/** The query of a recall's address. */
export function recallQuery(question: RecallQuestion): string {
  const { agent, foundOn } = question
  return new URLSearchParams({ on: startText(question.start), agent, found: foundOn }).toString()
}

const startText = (start: RecallStart) =>
  start.kind === 'vine' ? `vine ${start.rowId} ${start.position}` : `${start.kind} ${start.id}`

/** One id for one question, always the same: SHA-1 of its parts (RFC 9562 §5.5). */
export function recallId({ start, agent, foundOn }: RecallQuestion): string {
  return v5(JSON.stringify([startText(start), agent, foundOn]), recallSpace)
}

/** `source <id>`, `lot <id>` or `vine <row id> <position>`; null for anything else. */
export function readStart(on: string): RecallStart | null {
  const [kind = '', id = '', position = '', more] = on.split(' ')
  if (!Id.safeParse(id).success || more !== undefined) return null
  if (kind === 'source' || kind === 'lot') return { kind, id }
  const isPosition = /^[1-9]\d{0,4}$/.test(position) && Number(position) <= POSITION_LIMIT
  return kind === 'vine' && isPosition ? { kind, rowId: id, position: Number(position) } : null
}

/** Reads the question; refuses, in words, what cannot be asked. */
export function readQuestion(asked: RecallAddress): RecallQuestion {
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

/** The same, with null in place of a refusal. */
export function questionOrNull(asked: RecallAddress): RecallQuestion | null {
  const start = readStart(asked.on)
  const agent = Name.safeParse(asked.agent.trim())
  const foundOn = Day.safeParse(asked.found)
  if (start === null || !agent.success || !foundOn.success) return null
  return { start, agent: agent.data, foundOn: foundOn.data }
}

/** Reads the query of a recall's address; null when it asks for none. */
export function questionOfQuery(query: string): RecallQuestion | null {
  const given = new URLSearchParams(query)
  const [on, agent, found] = ['on', 'agent', 'found'].map((name) => given.get(name) ?? '')
  return questionOrNull({ on: on ?? '', agent: agent ?? '', found: found ?? '' })
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

/** A recall's name in lists: “GLRaV-3 in source Hill, sampled 2027-05-01”. */
export async function recallLabel(db: Database, question: RecallQuestion): Promise<string> {
  const where = await startLabel(db, question.start)
  return `${question.agent} in ${where}, sampled ${question.foundOn}`
}
