// The small parts of the phone's inside that need no browser.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { EntryId, When } from '#wire/basics.ts'
import { BATCH_BYTE_LIMIT, BATCH_LIMIT } from '#wire/api-entries.ts'
import { takeEnrolCode } from '../../../scanner/keys/enrol-fragment.ts'
import { EntryIds } from '../../../scanner/queue/entry-ids.ts'
import { isoWithOffset } from '../../../scanner/queue/occurred-at.ts'
import type { StoredEntry } from '../../../scanner/queue/store.ts'
import { firstSettings } from '../../../scanner/settings.ts'
import { meaningOf, outcomesOf } from '../../../scanner/sync/answer.ts'
import { waitMs } from '../../../scanner/sync/backoff.ts'
import { makeBatch } from '../../../scanner/sync/batch.ts'

describe('entry ids', () => {
  it('rise whatever the clock does, and are UUIDs of version 7', () => {
    const jumps = fc.array(fc.integer({ min: 0, max: 4_102_444_800_000 }), { minLength: 2 })
    fc.assert(
      fc.property(jumps, fc.integer({ min: 0, max: 4_102_444_800_000 }), (times, floor) => {
        const ids = new EntryIds(floor, () => 0.999)
        const made = times.map((nowMs) => ids.next(nowMs))
        expect(made).toEqual([...made].sort())
        expect(new Set(made).size).toBe(made.length)
        expect(made.every((id) => EntryId.safeParse(id).success)).toBe(true)
      }),
    )
  })
})

describe('the time of an entry', () => {
  it('is local time with its offset, and the same moment', () => {
    const minutes = fc.integer({ min: -14 * 60, max: 14 * 60 })
    const moments = fc.date({
      min: new Date('1990-01-02T00:00:00Z'),
      max: new Date('2099-12-30T00:00:00Z'),
      noInvalidDate: true,
    })
    fc.assert(
      fc.property(moments, minutes, (date, offsetMinutes) => {
        const text = isoWithOffset(date, offsetMinutes)
        expect(When.safeParse(text).success).toBe(true)
        expect(Date.parse(text)).toBe(date.getTime())
      }),
    )
    expect(isoWithOffset(new Date('2027-02-03T14:05:06.007Z'), -210)).toBe(
      '2027-02-03T10:35:06.007-03:30',
    )
  })
})

const entry = (id: string, bytes = 20): StoredEntry => ({
  device: 'd',
  deviceCounter: 1,
  id,
  kind: 'k',
  occurredAt: '',
  text: JSON.stringify('é'.repeat(bytes / 2 - 1)),
  state: 'unsent',
  journalIndex: null,
  answeredAtMs: null,
  problem: null,
})

describe('a batch', () => {
  it('holds at most as many entries and bytes as the server takes, and one at least', () => {
    const many = Array.from({ length: 1500 }, (_, nr) => entry(String(nr)))
    expect(makeBatch(many, BATCH_LIMIT).entries).toHaveLength(BATCH_LIMIT)
    const large = Array.from({ length: 60 }, (_, nr) => entry(String(nr), 200_000))
    const batch = makeBatch(large, BATCH_LIMIT)
    expect(batch.body.length).toBeLessThanOrEqual(BATCH_BYTE_LIMIT)
    expect(batch.entries.length).toBe(41)
    expect(makeBatch([entry('1', 9_000_000)], BATCH_LIMIT).entries).toHaveLength(1)
  })
})

const json = (status: number, code: string) => {
  const text = JSON.stringify({ code })
  return { status, isJson: true, text, retryAfterSeconds: null, serverTime: null }
}

describe('an answer', () => {
  it('counts only when it is whole and names each entry that was sent, in order', () => {
    const sent = [entry('a'), entry('b')]
    const recorded = (id: string, journalIndex: number) => ({
      id,
      result: 'recorded',
      journalIndex,
    })
    const answer = (...results: object[]) => JSON.stringify({ results, newer: 'words' })
    expect(outcomesOf(answer(recorded('a', 0), recorded('b', 1)), sent)).toHaveLength(2)
    expect(outcomesOf(answer(recorded('b', 1), recorded('a', 0)), sent)).toBeNull()
    expect(outcomesOf(answer(recorded('a', 0)), sent)).toBeNull()
    expect(outcomesOf(answer(recorded('a', 0), { id: 'b', result: 'lost' }), sent)).toBeNull()
    expect(outcomesOf(answer(recorded('a', 0), recorded('b', -1)), sent)).toBeNull()
    expect(outcomesOf('{"results":[', sent)).toBeNull()
    expect(outcomesOf('<html>', sent)).toBeNull()
  })

  it('is believed about this phone only in the server’s own words', () => {
    expect(meaningOf(json(401, 'unknown_device')).means).toBe('not let in')
    expect(meaningOf(json(403, 'not_confirmed')).means).toBe('waiting for the office')
    expect(meaningOf(json(409, 'old_number')).means).toBe('old number')
    expect(meaningOf(json(503, 'busy')).means).toBe('server trouble')
    expect(meaningOf({ ...json(401, ''), text: '<html>' }).means).toBe('server trouble')
    expect(meaningOf({ ...json(200, ''), isJson: false }).means).toBe('server trouble')
    expect(meaningOf({ ...json(0, ''), isJson: false, text: '' }).means).toBe('no network')
  })
})

describe('waiting', () => {
  it('grows, differs between phones, stays below five minutes, and heeds the server', () => {
    expect([waitMs(1, 0, null), waitMs(1, 0.999, null)]).toEqual([1000, 1999])
    expect(waitMs(4, 0, null)).toBe(8000)
    expect(waitMs(50, 0.999, null)).toBeLessThanOrEqual(300_000)
    expect(waitMs(1, 0, 60)).toBe(60_000)
  })
})

describe('the enrolment code in the address', () => {
  const place = (hash: string) => ({ hash, pathname: '/scanner/', search: '' })
  it('is taken out of it at once', () => {
    const shown: string[] = []
    const history = { replaceState: (_: unknown, __: string, url: string) => shown.push(url) }
    expect(takeEnrolCode(place('#enrol=7K3M-Q2TX'), history as never)).toBe('7K3M-Q2TX')
    expect(shown).toEqual(['/scanner/'])
    expect(takeEnrolCode(place('#enrol=<b>'), history as never)).toBeNull()
  })
})

describe('the first settings', () => {
  it('follow the languages that the person prefers', () => {
    expect(firstSettings(['es-MX', 'en']).language).toBe('es')
    expect(firstSettings(['fr-FR', 'es']).language).toBe('es')
    expect(firstSettings(['fr-FR'])).toMatchObject({ language: 'en', tempUnit: 'C' })
    expect(firstSettings(['en-US'])).toMatchObject({ tempUnit: 'F', lengthUnit: 'in' })
  })
})
