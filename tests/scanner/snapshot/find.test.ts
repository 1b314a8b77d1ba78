// Any text that a camera or a hand gives is told for what it is, and none makes the phone fail.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { formatTagCode, tagCodeFromBytes } from '#trade/tag-code.ts'
import { handoverText } from '#wire/handover.ts'
import { findText } from '../../../scanner/snapshot/find.ts'
import type { KnownCodes } from '../../../scanner/snapshot/find.ts'
import { noSnapshot } from '../../../scanner/no-snapshot.ts'
import { idOf } from '../../sim/season.ts'

/** The code of the first of these seeds that gives one. */
function codeOf(seed: number): string {
  for (let nr = seed; ; nr += 1) {
    const code = tagCodeFromBytes(Uint8Array.from([nr, 17, 99, nr * 3, 5, 250, nr * 7]))
    if (code !== null) return code
  }
}

const [bound, spoiled, replaced, free, strange] = [1, 40, 80, 120, 160].map(codeOf) as [
  ...[string, string, string, string, string],
]
const lotId = idOf('lot')
const codes = new Map([
  [bound, { code: bound, printed: true, bindings: [['lot', lotId, 1]], ends: [] }],
  [spoiled, { code: spoiled, printed: true, bindings: [], ends: [['spoiled', 2]] }],
  [
    replaced,
    { code: replaced, printed: true, bindings: [['lot', lotId, 1]], ends: [['replaced', 3]] },
  ],
  [free, { code: free, printed: true, bindings: [], ends: [] }],
]) as unknown as Map<string, ReturnType<KnownCodes['codeOf']>>
const known: KnownCodes = { host: 'tags.example.org', codeOf: (code) => codes.get(code) }

describe('a code', () => {
  const thing = { kind: 'lot', id: lotId }
  it.each([
    ['on a lot', bound, { what: 'thing', code: bound, thing }],
    ['in groups and small letters', formatTagCode(bound).toLowerCase(), { what: 'thing', thing }],
    ['in our address', `HTTPS://TAGS.EXAMPLE.ORG/T/${bound}`, { what: 'thing', thing }],
    ['that was spoiled', spoiled, { what: 'ended', spoiled: true }],
    ['that gave way to another', replaced, { what: 'ended', spoiled: false }],
    ['that was printed and is on nothing', free, { what: 'unbound', code: free }],
    ['that nobody printed here', strange, { what: 'unknown code', code: strange }],
    [
      'in the address of another nursery, though it looks like ours',
      `https://tags.example.com/t/${bound}`,
      { what: 'other nursery', host: 'tags.example.com', code: bound },
    ],
  ])('%s is told so', (_, text, found) => {
    expect(findText(text, known)).toMatchObject(found)
  })

  it('with any one character wrong is never taken for another code', () => {
    for (let at = 0; at < bound.length; at += 1) {
      for (const letter of '0123456789ABCDEFGHJKMNPQRSTVWXYZ') {
        if (letter === bound[at]) continue
        const typed = bound.slice(0, at) + letter + bound.slice(at + 1)
        expect(findText(typed, known)).toEqual({ what: 'slip', typed, problem: 'check' })
      }
    }
  })

  it.each([
    ['too short', bound.slice(1), 'length'],
    ['with a letter that no code has', `U${bound.slice(1)}`, 'letter'],
    ['in our address, damaged', `https://tags.example.org/t/U${bound.slice(1)}`, 'letter'],
    ['not typed at all', '', 'length'],
  ])('%s is a slip that can be mended', (_, text, problem) => {
    expect(findText(text, known)).toMatchObject({ what: 'slip', problem })
  })

  it('is unknown before the phone has fetched anything, and nothing is judged', () => {
    expect(findText(bound, null)).toEqual({ what: 'unknown code', code: bound })
    expect(findText(`https://tags.example.org/t/${bound}`, null).what).toBe('unknown code')
    expect(noSnapshot.snapshot.judge(lotId, null, 0)).toBeNull()
    expect(noSnapshot.snapshot.takenAt).toBeNull()
  })
})

describe('a handover', () => {
  it('is told by its id, whatever is known', () => {
    const handoverId = idOf('handover')
    const wood = { lotId, bundleId: null, unit: 'stick', count: 20 } as const
    const text = handoverText({ handoverId, wood })
    expect(findText(text, null)).toEqual({ what: 'handover', handoverId, text })
    expect(findText(text.toLowerCase(), known)).toMatchObject({ what: 'handover', handoverId })
  })
})

describe('any other text', () => {
  it.each([
    ['a web address', 'https://example.org/some/page?x=1'],
    ['a network’s name and password', 'WIFI:S:barn;T:WPA;P:secret;;'],
    ['four kilobytes', 'A1'.repeat(2048)],
    ['four kilobytes of emoji', '🍇'.repeat(1024)],
    ['a visiting card', 'BEGIN:VCARD\nFN:Somebody\nEND:VCARD'],
    ['an address in a script', 'javascript:alert(1)'],
  ])('%s is foreign', (_, text) => {
    expect(findText(text, known)).toEqual({ what: 'foreign', text })
  })

  it('whatever it is, it is told for something and never fails', () => {
    const text = fc.oneof(
      fc.string({ maxLength: 5000 }),
      fc.string({ unit: 'binary', maxLength: 300 }),
      fc.webUrl(),
      fc.constantFrom(bound, free).chain((code) => fc.string().map((more) => code + more)),
      fc.string().map((path) => `https://tags.example.org/t/${path}`),
      fc.string().map((rest) => `CANEMARK-HANDOVER-1:${rest}`),
    )
    fc.assert(
      fc.property(text, (one) => {
        expect(findText(one, known).what).toBeTypeOf('string')
        expect(findText(one, null).what).not.toBe('thing')
      }),
      { numRuns: 3000 },
    )
  })
})
