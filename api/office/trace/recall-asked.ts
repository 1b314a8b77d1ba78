// Reads from an address which recall is asked for, and names where the agent was found.
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { readRecall } from '../../trace/recall.ts'
import type { Recall, RecallQuestion } from '../../trace/recall.ts'
import { readQuestion, recallQuery, startLabel } from '../../trace/recall-question.ts'

/** A recall with the name of where it starts and the query that leads to it again. */
export type AskedRecall = { recall: Recall; label: string; query: string }

/** The question in the address; refuses, in words, what cannot be asked. */
export function askedQuestion(c: Context<Env>): RecallQuestion {
  return readQuestion({
    on: c.req.query('on') ?? '',
    agent: c.req.query('agent') ?? '',
    found: c.req.query('found') ?? '',
  })
}

/** The recall that the address asks for; refuses, in words, what cannot be asked. */
export async function askedRecall(c: Context<Env>): Promise<AskedRecall> {
  const { db } = c.get('services')
  const question = askedQuestion(c)
  const label = await startLabel(db, question.start)
  return { recall: await readRecall(db, question), label, query: recallQuery(question) }
}
