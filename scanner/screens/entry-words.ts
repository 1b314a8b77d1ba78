// What an entry is called, what it is about, and why the server set one aside.
import { formatTagCode } from '#trade/tag-code.ts'
import type { ThingShape } from '#wire/basics.ts'
import type { Phone, RecentEntry } from '../phone.ts'
import { EN } from '../words/en.ts'
import type { PlainKey } from '../words/say.ts'
import type { Speaker } from '../words/speaker.ts'
import { thingTitle } from './thing-words.ts'

/** The name of a kind; kinds of a newer version are called another entry. */
export function kindWords(kind: string, speaker: Speaker): string {
  const key = `entry.${kind}`
  return speaker.say(Object.hasOwn(EN, key) ? (key as PlainKey) : 'entry.other')
}

/** Why an entry was set aside, by the server's code. */
export function asideWords(code: string): PlainKey {
  switch (code) {
    case 'bad_signature':
    case 'other_device':
      return 'aside.signature'
    case 'revoked_device':
      return 'aside.revoked'
    case 'not_allowed':
      return 'aside.notAllowed'
    case 'unknown_kind':
    case 'unknown_version':
      return 'aside.version'
    case 'id_taken':
      return 'aside.taken'
    case 'too_large':
    case 'too_deep':
      return 'aside.tooLarge'
    case 'bad_envelope':
    case 'bad_body':
    case 'not_canonical':
      return 'aside.unreadable'
    default:
      return 'aside.other'
  }
}

/** What an entry is about, in the few words that tell it from its neighbours. */
export function entryAbout(entry: RecentEntry, phone: Phone, speaker: Speaker): string {
  const body: Readonly<Record<string, unknown>> = entry.body
  const words: string[] = []
  const add = (text: string | null) => {
    if (text !== null && !words.includes(text)) words.push(text)
  }
  const name = (id: unknown) => (typeof id === 'string' ? phone.snapshot.nameOf(id) : null)
  const vine = objectIn(body.vine)
  if (vine !== null) add(vineWords(vine, phone))
  const wood = objectIn(body.wood) ?? (Array.isArray(body.wood) ? objectIn(body.wood[0]) : null)
  add(lotName(body.lotId ?? wood?.lotId, phone))
  if (wood !== null) add(countWords(wood, speaker))
  if (typeof body.budCount === 'number') add(speaker.say('count.buds', { count: body.budCount }))
  if (typeof body.code === 'string') add(formatTagCode(body.code))
  const thing = objectIn(body.thing)
  if (thing !== null) add(thingTitle(thing as unknown as ThingShape, phone, speaker))
  for (const key of ['placeId', 'bathId', 'toHolderId', 'knifeId', 'sourceId']) {
    add(name(body[key]))
  }
  return words.join(' · ')
}

function objectIn(value: unknown): Readonly<Record<string, unknown>> | null {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Readonly<Record<string, unknown>>)
    : null
}

function vineWords(vine: Readonly<Record<string, unknown>>, phone: Phone): string | null {
  const row = typeof vine.rowId === 'string' ? phone.snapshot.row(vine.rowId) : null
  return row === null ? null : `${row.blockName} ${row.label}/${String(vine.position)}`
}

function lotName(lotId: unknown, phone: Phone): string | null {
  return typeof lotId === 'string' ? (phone.snapshot.lot(lotId)?.reference ?? null) : null
}

function countWords(wood: Readonly<Record<string, unknown>>, speaker: Speaker): string | null {
  if (typeof wood.count !== 'number') return null
  const { count } = wood
  return speaker.say(wood.unit === 'bud' ? 'count.buds' : 'count.sticks', { count })
}
