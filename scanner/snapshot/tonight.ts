// Tonight's list as the server worked it out, kept on the phone to be read without a network.
import { ApiTonight } from '#wire/api-tonight.ts'
import type { KeptTonight, PhoneLot, Tonight } from '../phone.ts'
import type { Get } from './fetch.ts'

/** Most rows that the server works a list out for. */
export const TONIGHT_ROW_LIMIT = 200

/**
 * Asks for the list of some rows, checked through; nothing is kept yet. What lies in water by the
 * records of the phone is noted, so that wood put in later can be told from it.
 *
 * @throws what `get` throws, or an Error when the answer is not what it should be
 */
export async function fetchTonight(
  get: Get,
  rowIds: readonly string[],
  fetchedAt: string,
  lotOf: (lotId: string) => PhoneLot | null,
): Promise<KeptTonight> {
  const asked = rowIds.slice(0, TONIGHT_ROW_LIMIT)
  const list = ApiTonight.parse(JSON.parse(await get(`/api/tonight?rowId=${asked.join(',')}`)))
  return { rowIds: asked, fetchedAt, list, inWater: inWaterOf(list, lotOf) }
}

/** Sticks of each piece of wood on the list that lie in some bath, by {@link woodKey}. */
export function inWaterOf(
  { lines }: Tonight,
  lotOf: (lotId: string) => PhoneLot | null,
): Record<string, number> {
  return Object.fromEntries(
    lines.map(({ lotId, bundleId }): [string, number] => {
      const wet = (lotOf(lotId)?.stock ?? []).filter(({ account, bundleId: ofBundle }) => {
        return account.kind === 'bath' && ofBundle === bundleId
      })
      return [woodKey(lotId, bundleId), wet.reduce((sum, { sticks }) => sum + sticks, 0)]
    }),
  )
}

/** Tells pieces of wood apart wherever they lie; loose wood of a lot is one piece. */
export function woodKey(lotId: string, bundleId: string | null): string {
  return `${lotId} ${bundleId ?? ''}`
}
