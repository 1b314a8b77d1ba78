// May this person take a document of a thing away, and has the nursery a host to tell it under?
import type { Context } from 'hono'
import { readNursery } from '../../nursery/read.ts'
import { may } from '../../people/rights.ts'
import type { Env } from '../../platform/services.ts'

/** Where it is false a page shows no link, for it would lead to a refusal. */
export async function canTell(c: Context<Env>): Promise<boolean> {
  if (!may(c.get('person').role, 'see the record')) return false
  const host = (await readNursery(c.get('services').db))?.label_host ?? null
  return host !== null
}
