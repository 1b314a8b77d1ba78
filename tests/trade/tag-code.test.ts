// Tag codes: the published example, a second library, and every way a code is misread or mistyped.
import { Mod37_36 } from '@konfirm/iso7064'
import { mod37_36 } from 'cdigit'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  TAG_ALPHABET,
  TAG_BODY_LENGTH,
  TAG_CODE_LENGTH,
  TAG_TRIES_LIMIT,
  formatTagCode,
  isTagCode,
  makeTagCode,
  parseTagInput,
  tagAddress,
  tagCodeFromBytes,
  tagCodeGroups,
  tagProblemText,
} from '../../api/trade/tag-code.ts'

const ALL_36 = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ'
const sevenBytes = fc.uint8Array({ minLength: 7, maxLength: 7 })
const codes = sevenBytes.map(tagCodeFromBytes).filter((code) => code !== null)
const example = makeTagCode(() => Uint8Array.of(0x3d, 0x91, 0x07, 0xc4, 0x5a, 0xee, 0x20))

describe('the check character', () => {
  // Published example: the Global Release Identifier A1-2425G-ABC1234002-M, ISO/IEC 7064 MOD 37,36.
  test('A12425GABC1234002 has the published check character M in both libraries', () => {
    expect(mod37_36.compute('A12425GABC1234002')).toBe('M')
    expect(Mod37_36.checksum('A12425GABC1234002')).toBe('M')
  })

  test('a second library agrees with every code that is made', () => {
    fc.assert(
      fc.property(codes, (code) => {
        expect(Mod37_36.checksum(code.slice(0, -1))).toBe(code.slice(-1))
        expect(isTagCode(code)).toBe(true)
      }),
      { numRuns: 1000 },
    )
  })

  test('every single substitution is caught', () => {
    fc.assert(
      fc.property(codes, (code) => {
        for (let at = 0; at < TAG_CODE_LENGTH; at++) {
          for (const other of TAG_ALPHABET) {
            if (other === code[at]) continue
            const wrong = code.slice(0, at) + other + code.slice(at + 1)
            expect(parseTagInput(wrong), wrong).toMatchObject({ problem: 'wrong_check' })
          }
        }
      }),
      { numRuns: 50 },
    )
  })

  // The check depends on the part before the pair only through one of 36 states, and one leading
  // character reaches all 36, so these counts are exhaustive.
  test('adjacent transpositions missed: 72 of 45,360 in the body, 2 of 1,260 at the end', () => {
    expect(missedTranspositions(ALL_36)).toEqual({ pairs: 45_360, missed: 72 })
    // The same count over the 32 characters of our codes alone: 0.16 % too.
    expect(missedTranspositions(TAG_ALPHABET)).toEqual({ pairs: 35_712, missed: 56 })
    let missedAtEnd = 0
    let pairsAtEnd = 0
    for (const lead of ALL_36) {
      for (const last of ALL_36) {
        const check = mod37_36.compute(lead + last)
        if (check === last) continue
        pairsAtEnd++
        if (mod37_36.validate(lead + check + last)) missedAtEnd++
      }
    }
    expect({ pairsAtEnd, missedAtEnd }).toEqual({ pairsAtEnd: 1260, missedAtEnd: 2 })
  })
})

describe('making a code', () => {
  test('fifty bits become ten characters in order, and a check character', () => {
    const body = TAG_ALPHABET.slice(0, 10)
    const bits = [...body].map((character) =>
      TAG_ALPHABET.indexOf(character).toString(2).padStart(5, '0'),
    )
    const padded = `${bits.join('')}000000`
    const bytes = Uint8Array.from({ length: 7 }, (_, at) =>
      Number.parseInt(padded.slice(at * 8, at * 8 + 8), 2),
    )
    expect(body).toHaveLength(TAG_BODY_LENGTH)
    expect(tagCodeFromBytes(bytes)).toBe(body + Mod37_36.checksum(body))
  })

  test('no code holds I, L, O or U, the check character included', () => {
    fc.assert(
      fc.property(codes, (code) => {
        expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{11}$/)
      }),
      { numRuns: 1000 },
    )
  })

  test('bytes that would give the check character I, L, O or U give no code', () => {
    const refused = new Set<string>()
    for (let low = 0; low < 1024; low++) {
      const bytes = Uint8Array.of(0, 0, 0, 0, 0, low >> 2, (low & 3) << 6)
      const body = '00000000' + TAG_ALPHABET.charAt(low >> 5) + TAG_ALPHABET.charAt(low & 31)
      const check = Mod37_36.checksum(body)
      expect(tagCodeFromBytes(bytes)).toBe('ILOU'.includes(check) ? null : body + check)
      if ('ILOU'.includes(check)) refused.add(check)
    }
    expect([...refused].sort()).toEqual(['I', 'L', 'O', 'U'])
  })

  test('after unusable bytes fresh ones are drawn, and a broken source is told', () => {
    const unusable = findUnusable()
    const draws = [unusable, unusable, Uint8Array.of(1, 2, 3, 4, 5, 6, 7)]
    let asked = 0
    const code = makeTagCode((count) => {
      expect(count).toBe(7)
      return draws[asked++] ?? unusable
    })
    expect(asked).toBe(3)
    expect(isTagCode(code)).toBe(true)
    let tries = 0
    const broken = () => {
      tries++
      return unusable
    }
    expect(() => makeTagCode(broken)).toThrow(/random source is broken/)
    expect(tries).toBe(TAG_TRIES_LIMIT)
    expect(() => tagCodeFromBytes(new Uint8Array(6))).toThrow(/needs 7 random bytes, not 6/)
  })
})

describe('reading a code', () => {
  test('groups, spaces, hyphens, dashes and small letters all give the same code', () => {
    fc.assert(
      fc.property(
        codes,
        fc.array(fc.constantFrom('', ' ', '-', '–', '\u00a0', '‑'), {
          minLength: 12,
          maxLength: 12,
        }),
        (code, separators) => {
          const typed = [...code].map((one, at) => one.toLowerCase() + (separators[at] ?? ''))
          expect(parseTagInput(typed.join(''))).toEqual({ ok: true, code, host: null })
          expect(parseTagInput(` ${formatTagCode(code)}\r\n`)).toEqual({
            ok: true,
            code,
            host: null,
          })
        },
      ),
    )
  })

  test('I and L typed for 1, and O typed for 0, are read as 1 and 0', () => {
    fc.assert(
      fc.property(codes, fc.constantFrom('I', 'i', 'L', 'l'), (code, one) => {
        const typed = code.replaceAll('1', one).replaceAll('0', one === 'I' ? 'O' : 'o')
        expect(parseTagInput(typed)).toEqual({ ok: true, code, host: null })
      }),
    )
  })

  test('the address of any host gives the code and the host', () => {
    fc.assert(
      fc.property(codes, (code) => {
        const text = tagAddress('tags.example.org:8443', code)
        expect(text).toBe(`HTTPS://TAGS.EXAMPLE.ORG:8443/T/${code}`)
        const expected = { ok: true, code, host: 'tags.example.org:8443' }
        expect(parseTagInput(text)).toEqual(expected)
        expect(parseTagInput(text.toLowerCase())).toEqual(expected)
        expect(parseTagInput(`${text}/`)).toEqual(expected)
        expect(parseTagInput(`${text}?from=print#top`)).toEqual(expected)
        expect(parseTagInput(text.replace(/^HTTPS/, 'Http'))).toEqual(expected)
      }),
    )
  })

  test.each([
    ['', { problem: 'empty' }],
    ['  \t\n', { problem: 'empty' }],
    [' - - ', { problem: 'empty' }],
    ['7K3M*9QX', { problem: 'not_a_code', character: '*', position: 5 }],
    ['7K3MU9QX', { problem: 'not_a_code', character: 'U', position: 5 }],
    ['café', { problem: 'not_a_code', character: 'é', position: 4 }],
    ['١٢٣', { problem: 'not_a_code', character: '١', position: 1 }],
    ['K', { problem: 'wrong_length', length: 1, expectedLength: 11 }],
    ['7K3M-9QXT-4H', { problem: 'wrong_length', length: 10, expectedLength: 11 }],
    ['https://shop.example/', { problem: 'other_address', host: 'shop.example' }],
    ['https://shop.example/x/T/7', { problem: 'other_address', host: 'shop.example' }],
    ['https:///T/77777777777', { problem: 'other_address', host: '' }],
    ['https://a@b/T/77777777777', { problem: 'other_address', host: 'a@b' }],
    ['https://shop.example/T/7K', { problem: 'wrong_length', length: 2, expectedLength: 11 }],
    ['mailto:someone', { problem: 'not_a_code', character: ':', position: 7 }],
  ])('%j is told as %o, with words on how to mend it', (text, problem) => {
    const read = parseTagInput(text)
    expect(read).toEqual({ ok: false, ...problem })
    if (!read.ok) expect(tagProblemText(read)).toMatch(/^[^\s].*\.$/)
  })

  test('a text far too long is told by its length, without a closer look', () => {
    const text = ` ${'7'.repeat(1_000_000)}`
    expect(parseTagInput(text)).toMatchObject({ problem: 'wrong_length', length: 1_000_001 })
  })

  test('a wrong check character is told with the code that was read', () => {
    const wrong = example.slice(0, -1) + (example.endsWith('7') ? '8' : '7')
    const read = parseTagInput(wrong.toLowerCase())
    expect(read).toEqual({ ok: false, problem: 'wrong_check', text: wrong })
    if (!read.ok) expect(tagProblemText(read)).toContain(formatTagCode(wrong))
  })

  test('no text at all makes the reader throw, and what it accepts is a code', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 40 }), (text) => {
        const read = parseTagInput(text)
        if (read.ok) expect(isTagCode(read.code)).toBe(true)
        else expect(tagProblemText(read).length).toBeGreaterThan(20)
      }),
      { numRuns: 2000 },
    )
  })
})

describe('showing a code', () => {
  test('a code is shown in groups of four, four and three', () => {
    expect(formatTagCode('0123456789A')).toBe('0123-4567-89A')
    expect(tagCodeGroups('0123456789A')).toEqual(['0123', '4567', '89A'])
    expect(formatTagCode('012')).toBe('012')
  })

  test.each(['', 'a b', 'https://x', 'x/y', '-x.org', 'x..org', 'bücher.example', 'x:999999'])(
    'an address is refused for the host %j',
    (host) => expect(() => tagAddress(host, example)).toThrow(/is not a host name/),
  )

  test('an address is refused for a text that is no code', () => {
    expect(() => tagAddress('tags.example.org', '0123')).toThrow(/is not a tag code/)
  })
})

function missedTranspositions(alphabet: string): { pairs: number; missed: number } {
  let pairs = 0
  let missed = 0
  for (const lead of ALL_36) {
    for (const first of alphabet) {
      for (const second of alphabet) {
        if (first === second) continue
        pairs++
        const check = mod37_36.compute(lead + first + second)
        if (check === mod37_36.compute(lead + second + first)) missed++
      }
    }
  }
  return { pairs, missed }
}

function findUnusable(): Uint8Array {
  for (let value = 0; value < 256; value++) {
    const bytes = Uint8Array.of(value, 0, 0, 0, 0, 0, 0)
    if (tagCodeFromBytes(bytes) === null) return bytes
  }
  throw new Error('no bytes were refused')
}
