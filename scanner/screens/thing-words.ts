// What a tag stands for, in a few large words, and its place in the nursery in a few more.
import { formatTagCode } from '#trade/tag-code.ts'
import type { ThingShape } from '#wire/basics.ts'
import type { Found, Phone, PhoneLot, WoodAtHand } from '../phone.ts'
import type { Speaker } from '../words/speaker.ts'
import type { PlainKey } from '../words/say.ts'

/** The lot that a read leads to, by its own tag or by a bundle's; null when there is none. */
export function lotOf(found: Found, phone: Pick<Phone, 'snapshot'>): PhoneLot | null {
  if (found.what !== 'thing') return null
  if (found.thing.kind === 'lot') return phone.snapshot.lot(found.thing.id)
  return found.thing.kind === 'bundle' ? phone.snapshot.lotOfBundle(found.thing.id) : null
}

/** The wood that a read leads to, a bundle by itself; null when there is none. */
export function woodOf(found: Found, phone: Pick<Phone, 'snapshot'>): WoodAtHand | null {
  const lot = lotOf(found, phone)
  if (lot === null || found.what !== 'thing') return null
  const { kind, id } = found.thing
  return { lotId: lot.lotId, bundleId: kind === 'bundle' ? id : null }
}

/** What was read, in large words. */
export function foundTitle(found: Found, phone: Pick<Phone, 'snapshot'>, speaker: Speaker): string {
  switch (found.what) {
    case 'thing':
      return thingTitle(found.thing, phone, speaker)
    case 'handover':
      return speaker.say('found.handover')
    case 'slip':
      return speaker.say('found.mistyped')
    case 'foreign':
      return speaker.say('found.noTag')
    default:
      return speaker.say('found.tag', { code: formatTagCode(found.code) })
  }
}

/** `Lot 27-001`, `Row 4, Upper`, `Tank east`: the kind in front where a number is the name. */
export function thingTitle(
  thing: ThingShape,
  phone: Pick<Phone, 'snapshot'>,
  speaker: Speaker,
): string {
  const kind = speaker.say(KIND_WORDS[thing.kind])
  const { snapshot } = phone
  switch (thing.kind) {
    case 'lot': {
      const lot = snapshot.lot(thing.id)
      return lot === null ? kind : `${kind} ${lot.reference}`
    }
    case 'bundle': {
      const lot = snapshot.lotOfBundle(thing.id)
      return lot === null ? kind : speaker.say('thing.bundleOf', { lot: lot.reference })
    }
    case 'row': {
      const row = snapshot.row(thing.id)
      return row === null ? kind : `${kind} ${row.label}, ${row.blockName}`
    }
    default: {
      const name = snapshot.nameOf(thing.id)
      return name ?? kind
    }
  }
}

/** The kind of a thing that has a name of its own, and its code. */
export function thingAbout(thing: ThingShape, code: string | null, speaker: Speaker): string {
  const isNumbered = thing.kind === 'lot' || thing.kind === 'bundle' || thing.kind === 'row'
  const words = isNumbered ? [] : [speaker.say(KIND_WORDS[thing.kind])]
  return (code === null ? words : [...words, formatTagCode(code)]).join(' · ')
}

/** Variety, clone and class on one line. */
export function woodWords(lot: PhoneLot, speaker: Speaker): string {
  const words = [lot.varietyName]
  if (lot.clone !== null) words.push(speaker.say('thing.clone', { clone: lot.clone }))
  if (lot.className !== null) words.push(speaker.say('thing.class', { name: lot.className }))
  return words.join(' · ')
}

const KIND_WORDS: Readonly<Record<ThingShape['kind'], PlainKey>> = {
  lot: 'kind.lot',
  bundle: 'kind.bundle',
  place: 'kind.place',
  row: 'kind.row',
  source: 'kind.source',
  knife: 'kind.knife',
  bath: 'kind.bath',
}
