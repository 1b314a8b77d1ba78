// Reads ids and positions out of a page's address; an address that cannot be right is not found.
import type { Context } from 'hono'
import { Id, POSITION_LIMIT } from '#wire/basics.ts'
import { refuse } from '../platform/errors.ts'
import type { Env } from '../platform/services.ts'

/** The id in the address; `what` names the thing for the page that says it does not exist. */
export function pathId(c: Context<Env>, name: string, what: string): string {
  const read = Id.safeParse(c.req.param(name))
  return read.success ? read.data : notThere(what)
}

/** The position in the address, from 1. */
export function pathPosition(c: Context<Env>, name: string): number {
  const text = c.req.param(name) ?? ''
  const position = /^\d{1,5}$/.test(text) ? Number(text) : 0
  return position >= 1 && position <= POSITION_LIMIT ? position : notThere('position')
}

/** The thing itself, or the page that says it does not exist. */
export function found<T>(thing: T | null | undefined, what: string): T {
  return thing ?? notThere(what)
}

function notThere(what: string): never {
  refuse('not_found', `There is no such ${what} in the records; go back and choose one.`, {
    status: 404,
  })
}
