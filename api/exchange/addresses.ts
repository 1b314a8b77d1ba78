// Addresses of our things in what is exchanged: web addresses under the nursery's own host.
import type { AccountShape, WoodShape } from '#wire/basics.ts'
import { Id } from '#wire/basics.ts'
import { OWN_PATH } from './terms.ts'

/** The name space of our own words at a host. */
export const nameSpaceAt = (host: string) => `https://${host}${OWN_PATH}`

/** The address of a thing: `https://HOST/id/KIND/ID`. It names; nothing has to answer there. */
export const addressOf = (host: string, kind: string, id: string) =>
  `https://${host}/id/${kind}/${id}`

/** The class of things that a lot is made of: its sticks, or its buds. */
export const classOf = (host: string, lotId: string, unit: 'stick' | 'bud') =>
  `${addressOf(host, 'lot', lotId)}/${unit}`

/** A vine by its row and its position in it. */
export const vineOf = (host: string, vine: { rowId: string; position: number }) =>
  `${addressOf(host, 'row', vine.rowId)}/vine/${vine.position}`

/** A tag by its code, as it is printed on labels that leave the nursery. */
export const tagOf = (host: string, code: string) => `https://${host}/T/${code}`

/** The nursery itself, as a party. */
export const nurseryOf = (host: string) => `https://${host}/id/nursery`

/** A quantity of wood as a list of one class. */
export const quantityOf = (host: string, wood: WoodShape) => [
  { epcClass: classOf(host, wood.lotId, wood.unit), quantity: wood.count },
]

/** The place of an account, where it is one: a place or a bath. */
export function placeOf(host: string, account: AccountShape): { bizLocation?: { id: string } } {
  if (account.kind !== 'place' && account.kind !== 'bath') return {}
  return { bizLocation: { id: addressOf(host, account.kind, account.id) } }
}

/** What an address of ours, at whatever host, names: the lot, and the unit of its class if any. */
export function readLotAddress(
  text: string,
): { lotId: string; unit: 'stick' | 'bud' | null } | null {
  const match = /^https:\/\/[^/?#]+\/id\/lot\/([0-9a-f-]{36})(?:\/(stick|bud))?$/.exec(text)
  const lotId = match?.[1] ?? ''
  if (!Id.safeParse(lotId).success) return null
  return { lotId, unit: match?.[2] === 'stick' || match?.[2] === 'bud' ? match[2] : null }
}

/** The id in an address of a kind of thing of ours, at whatever host; null for another address. */
export function readAddress(text: string, kind: string): string | null {
  const match = /^https:\/\/[^/?#]+\/id\/([a-z]+)\/([0-9a-f-]{36})$/.exec(text)
  const id = match?.[2] ?? ''
  return match?.[1] === kind && Id.safeParse(id).success ? id : null
}
