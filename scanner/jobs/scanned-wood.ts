// The wood that a scanned tag leads to, as far as this phone knows it.
import { formatTagCode } from '#trade/tag-code.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { Found, Phone, PhoneLot } from '../phone.ts'
import type { Speaker } from '../words/speaker.ts'

/** A lot, or one bundle of it. */
export interface ScannedWood {
  readonly lotId: string
  readonly bundleId: string | null
}

/** Null when the tag is on no wood, or the phone does not know of which lot its bundle is. */
export function scannedWood(found: Found | null, phone: Phone): ScannedWood | null {
  if (found === null || found.what !== 'thing') return null
  const { kind, id } = found.thing
  if (kind === 'lot') return { lotId: id, bundleId: null }
  if (kind !== 'bundle') return null
  const lot = phone.snapshot.lotOfBundle(id)
  return lot === null ? null : { lotId: lot.lotId, bundleId: id }
}

/** Is this a tag on wood? */
export function isWoodTag(found: Found): boolean {
  return found.what === 'thing' && (found.thing.kind === 'lot' || found.thing.kind === 'bundle')
}

/** Like `27-014 · Bundle 2 · tag 0123-…`; the tag is what the hand can compare. */
export function bundleWords(
  lot: PhoneLot,
  bundleId: string | null,
  phone: Phone,
  t: Speaker,
): string {
  if (bundleId === null) return `${lot.reference} · ${t.say('wood.loose')}`
  const nr = lot.bundles.findIndex((bundle) => bundle.bundleId === bundleId) + 1
  const code = phone.snapshot.codeOf({ kind: 'bundle', id: bundleId })
  const name = nr === 0 ? t.say('kind.bundle') : t.say('wood.bundleNr', { nr })
  const tag = code === null ? [] : [t.say('wood.tag', { code: formatTagCode(code) })]
  return [lot.reference, name, ...tag].join(' · ')
}

/** Where wood is: a place's or bath's name, a person's or crew's. */
export function accountWords(account: AccountShape, phone: Phone, t: Speaker): string {
  if (account.kind === 'unknown') return t.say('wood.whereUnknown')
  if (account.kind === 'holder' && account.id === phone.settings.personId) {
    return t.say('wood.inMyHands')
  }
  const name = phone.snapshot.nameOf(account.id) ?? account.id.slice(0, 8)
  if (account.kind === 'holder') return t.say('wood.with', { name })
  return account.kind === 'bath' ? t.say('wood.inBath', { name }) : name
}

/** Like `25 sticks and 3 buds`; vines of a lot are counted as sticks are. */
export function piecesWords(pieces: { sticks: number; buds: number }, t: Speaker): string {
  const words: string[] = []
  if (pieces.sticks !== 0) words.push(t.say('count.sticks', { count: pieces.sticks }))
  if (pieces.buds !== 0) words.push(t.say('count.buds', { count: pieces.buds }))
  return words.length === 0 ? t.say('wood.nothing') : t.list(words)
}
