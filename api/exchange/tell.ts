// What all our entries have in common when they are told as events.
import type { Entry } from '#wire/entry.ts'
import type { EpcisEvent, OwnValue } from './epcis-shape.ts'

/** What an event says besides when it happened and which entry it tells. */
type Said<E extends EpcisEvent['type']> = Omit<
  Extract<EpcisEvent, { type: E }>,
  'eventTime' | 'eventTimeZoneOffset' | 'type'
>

/** Values of our own words; what is null is left out, for JSON-LD has no word for nothing. */
export type OwnWords = { [word: string]: OwnValue | null }

/**
 * One event of an entry. Everything in it follows from that one entry and the host, so that its
 * hash id is the same in every document.
 */
export function tell<E extends EpcisEvent['type']>(
  entry: Entry,
  type: E,
  said: Omit<Said<E>, `${string}:${string}`>,
  words: OwnWords = {},
): EpcisEvent {
  return {
    type,
    ...timeOf(entry.occurredAt),
    ...said,
    'cm:entryId': entry.id,
    'cm:entryKind': entry.kind,
    'cm:deviceId': entry.device,
    ...ownWords(words),
  } as unknown as EpcisEvent
}

/** Our own words with their prefix, the empty ones left out. */
export function ownWords(words: OwnWords): Record<`cm:${string}`, OwnValue> {
  const kept = Object.entries(words).flatMap(([word, value]) => {
    return value === null || value === '' ? [] : [[`cm:${word}`, value] as const]
  })
  return Object.fromEntries(kept)
}

/** The offset of an entry's time, as the standard writes one: at most 14 hours. */
function timeOf(occurredAt: string): { eventTime: string; eventTimeZoneOffset: string } {
  const offset = /([+-]\d\d:\d\d)$/.exec(occurredAt)?.[1] ?? '+00:00'
  if (offset.slice(1) <= '14:00') return { eventTime: occurredAt, eventTimeZoneOffset: offset }
  return { eventTime: new Date(occurredAt).toISOString(), eventTimeZoneOffset: '+00:00' }
}
