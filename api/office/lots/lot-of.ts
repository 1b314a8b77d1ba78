// Finds the lot that a page's address names.
import type { Context } from 'hono'
import { readLotIdentity } from '../../lots/lot-detail.ts'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import type { Env } from '../../platform/services.ts'
import { found, pathId } from '../path-id.ts'

/** The identity of the lot in the address; a lot that nobody made is not found. */
export async function lotOf(c: Context<Env>): Promise<LotIdentity> {
  const { db } = c.get('services')
  return found(await readLotIdentity(db, pathId(c, 'lotId', 'lot')), 'lot')
}
