// Names and free text: what passes, what is refused, and where it says the fault is.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { checkText, TEXT_LIMITS } from '#trade/text-safety.ts'
import type { TextProblem } from '#trade/text-safety.ts'

function problemOf(typed: string, kind: 'name' | 'text' = 'name'): TextProblem | null {
  const result = checkText(typed, kind)
  return result.ok ? null : result.problem
}

describe('a name', () => {
  it.each([
    'Cabernet Sauvignon',
    'Gewürztraminer',
    'Müller-Thurgau',
    "Nero d'Avola",
    'Côt à queue rouge',
    'რქაწითელი',
    'საფერავი',
    'Ркацители',
    'Їжак-3',
    'Ξινόμαυρο',
    'Αγιωργίτικο',
    'ᾍδης',
    'Þrúga Ægir',
    'Narince ığdır',
    'Խնդողնի',
    'גפן אדומה',
    'عنب أسود',
    '山葡萄',
    'へいわ',
    'Rkatsiteli / Ркацители',
    'Row 12–14 (upper), No. 7 & 8',
    'μm',
    'Ω-block',
    'mώ',
    'mω\u0301',
    'O’Hara’s bench',
  ])('passes as it is: %s', (name) => {
    expect(checkText(name, 'name')).toEqual({ ok: true, value: name.normalize('NFC') })
  })

  it('is trimmed, composed, and has single plain spaces', () => {
    const typed = '  \tPinot\u00a0 \u3000noir\u0300\n'
    expect(checkText(typed, 'name')).toEqual({ ok: true, value: 'Pinot noir\u0300' })
    expect(checkText('Gewu\u0308rztraminer', 'name')).toEqual({
      ok: true,
      value: 'Gew\u00fcrztraminer',
    })
  })

  it.each([
    ['control', 'Row\u0000 7', 4, 'U+0000'],
    ['control', 'Row\n7', 4, 'U+000A'],
    ['control', 'Row\t7', 4, 'U+0009'],
    ['control', 'a\u009bb', 2, 'U+009B'],
    ['control', 'a\u2028b', 2, 'U+2028'],
    ['bidi', 'ab\u202ecd', 3, 'U+202E'],
    ['bidi', 'a\u2066b\u2069', 2, 'U+2066'],
    ['bidi', 'a\u200fb', 2, 'U+200F'],
    ['bidi', 'a\u061cb', 2, 'U+061C'],
    ['zero_width', 'Mer\u200blot', 4, 'U+200B'],
    ['zero_width', 'Mer\u200dlot', 4, 'U+200D'],
    ['zero_width', 'Mer\u200clot', 4, 'U+200C'],
    ['zero_width', 'Mer\ufefflot', 4, 'U+FEFF'],
    ['zero_width', 'Mer\u00adlot', 4, 'U+00AD'],
    ['zero_width', 'a\u3164b', 2, 'U+3164'],
    ['zero_width', 'a\u{e0041}b', 2, 'U+E0041'],
    ['zero_width', '☀\ufe0f', 2, 'U+FE0F'],
    ['lone_surrogate', 'a\ud800b', 2, 'U+D800'],
    ['lone_surrogate', '\udc00', 1, 'U+DC00'],
    ['private_use', 'a\ue000', 2, 'U+E000'],
    ['private_use', '🍇\u{f0000}', 2, 'U+F0000'],
    ['private_use', 'a\uffff', 2, 'U+FFFF'],
    ['mixed_scripts', 'Mеrlot', 2, 'U+0435'],
    ['mixed_scripts', 'Block Mеrlot', 8, 'U+0435'],
    ['mixed_scripts', 'Саперaви', 6, 'U+0061'],
    ['mixed_scripts', 'Mοscato', 2, 'U+03BF'],
    ['mixed_scripts', 'Ξινόμaυρο', 6, 'U+0061'],
    ['mixed_scripts', 'Кοкур', 2, 'U+03BF'],
    ['mixed_scripts', 'mΩж', 2, 'U+03A9'],
    ['mixed_scripts', '🍇 Mеrlot', 4, 'U+0435'],
  ] as const)('with a fault of the kind %s is refused and the place named', (...row) => {
    const [problem, typed, at, codePoint] = row
    const result = checkText(typed, 'name')
    expect(result).toMatchObject({ ok: false, problem, at, codePoint })
    expect(result.ok ? '' : result.remedy).toMatch(/^[A-Z].*\.$/)
  })

  it('names the place as typed, blanks at the start included', () => {
    expect(checkText('  \u00a0a\u202eb', 'name')).toMatchObject({ at: 5, problem: 'bidi' })
  })

  it.each(['', '   ', '\u3000\n'])('of nothing but blanks is refused', (typed) => {
    expect(problemOf(typed)).toBe('empty')
  })

  it('may have as many code points as the limit and not one more', () => {
    const limit = TEXT_LIMITS.name
    expect(problemOf('🍇'.repeat(limit))).toBeNull()
    expect(problemOf('🍇'.repeat(limit + 1))).toBe('too_long')
    expect(checkText('abcd', 'name', 3)).toMatchObject({
      problem: 'too_long',
      at: null,
      codePoint: null,
      remedy: 'Shorten it to 3 characters; it has 4.',
    })
  })
})

describe('a free text', () => {
  it('keeps its tabs, spaces and lines, with line feeds', () => {
    const typed = ' wind from  the west\r\n\tstopped at row 7\rdone\n'
    expect(checkText(typed, 'text')).toEqual({
      ok: true,
      value: 'wind from  the west\n\tstopped at row 7\ndone',
    })
  })

  it('may hold the pictures of a phone’s keyboard', () => {
    expect(checkText('☀\ufe0f hot 🌧', 'text')).toEqual({ ok: true, value: '☀\ufe0f hot 🌧' })
    expect(problemOf('a\ufe0fb', 'text')).toBe('zero_width')
  })

  it.each([
    ['bidi', 'a\u202eb'],
    ['zero_width', 'a\u200bb'],
    ['control', 'a\u0007b'],
    ['lone_surrogate', 'a\ud800b'],
    ['mixed_scripts', 'the Mеrlot row'],
  ] as const)('is refused for %s like a name', (problem, typed) => {
    expect(problemOf(typed, 'text')).toBe(problem)
  })
})

describe('whatever is typed', () => {
  const anyTyped = fc.string({ unit: 'binary', maxLength: 60 })
  const likely = fc.string({
    unit: fc.constantFrom(..."aoeАеоαο-' \t\n\r\u0301\u00a0\u200b\u202e\ud800☀\ufe0fΩ\u2126K"),
    maxLength: 12,
  })
  const typed = fc.oneof(anyTyped, likely)
  const kinds = fc.constantFrom('name' as const, 'text' as const)

  it('a text that passed passes again unchanged', () => {
    fc.assert(
      fc.property(typed, kinds, (text, kind) => {
        const result = checkText(text, kind)
        if (result.ok) expect(checkText(result.value, kind)).toEqual(result)
      }),
      { numRuns: 2000 },
    )
  })

  it('a text that passed is trimmed, composed, well formed and within its limit', () => {
    fc.assert(
      fc.property(typed, kinds, (text, kind) => {
        const result = checkText(text, kind)
        if (!result.ok) return
        expect(result.value).toBe(result.value.trim().normalize('NFC'))
        expect(Buffer.from(result.value, 'utf8').toString('utf8')).toBe(result.value)
        expect(result.value).not.toMatch(/[\u200b-\u200f\u202a-\u202e\u2066-\u2069\u0000]/)
        const length = Array.from(result.value).length
        expect(length).toBeGreaterThan(0)
        expect(length).toBeLessThanOrEqual(TEXT_LIMITS[kind])
      }),
    )
  })

  it('a refusal that names a place names the character that stands there', () => {
    fc.assert(
      fc.property(typed, kinds, (text, kind) => {
        const result = checkText(text, kind)
        if (result.ok || result.at === null) return
        const there = Array.from(text)[result.at - 1]?.codePointAt(0) ?? -1
        expect(result.codePoint).toBe('U+' + there.toString(16).toUpperCase().padStart(4, '0'))
      }),
      { numRuns: 2000 },
    )
  })

  it('a word of one alphabet is never refused for mixing', () => {
    const alphabets = ['abcxyzéßø', 'абвгджзћї', 'αβγδεώΩ', 'აბგდე', 'աբգ']
    const word = fc
      .constantFrom(...alphabets)
      .chain((letters) => fc.string({ unit: fc.constantFrom(...letters), minLength: 1 }))
    fc.assert(
      fc.property(fc.array(word, { minLength: 1, maxLength: 4 }), (words) => {
        expect(problemOf(words.join(' '), 'text')).toBeNull()
      }),
    )
  })

  it('one Latin letter exchanged for its Cyrillic double is always refused', () => {
    const doubles: Record<string, string> = { a: 'а', e: 'е', o: 'о', p: 'р', c: 'с', x: 'х' }
    const latin = fc.string({ unit: fc.constantFrom(...'bdfghklmn'), minLength: 1, maxLength: 8 })
    fc.assert(
      fc.property(latin, fc.constantFrom(...Object.values(doubles)), (word, double) => {
        expect(problemOf(`${word}${double}`)).toBe('mixed_scripts')
        expect(problemOf(`${double}${word}`)).toBe('mixed_scripts')
      }),
    )
  })
})
