// A reader that types is told from a person who types, on layouts other than its own too.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BurstReader, KEYS_FEWEST, KEY_GAP_LIMIT_MS } from '../../../scanner/camera/typed-reader.ts'
import { parseTagInput, tagAddress } from '#trade/tag-code.ts'
import { exampleCode } from '../../labels/examples.ts'

const code = exampleCode(5)

/** Types `keys` with the same gap before each and gives the texts that were read. */
function typed(keys: readonly string[], gapMs: number, reader = new BurstReader()): string[] {
  const texts: string[] = []
  keys.forEach((key, nr) => {
    const plain = { isCommand: false, isRepeatedOrComposed: false }
    const answer = reader.take({ key, atMs: nr * gapMs, ...plain })
    if (answer.is === 'read') texts.push(answer.text)
  })
  return texts
}

describe('a reader that types', () => {
  it('a fast burst that ends in Enter is a read', () => {
    expect(typed([...code, 'Enter'], 8)).toEqual([code])
  })

  it('a reader that ends in Tab is heard as well', () => {
    expect(typed([...code, 'Tab'], 8)).toEqual([code])
  })

  it('Shift between the characters is no part of the code', () => {
    const keys = [...code].flatMap((key) => (/[A-Z]/.test(key) ? ['Shift', key] : [key]))
    expect(typed([...keys, 'Enter'], 8)).toEqual([code])
  })

  it('two codes in a row are two reads', () => {
    const other = exampleCode(6)
    expect(typed([...code, 'Enter', ...other, 'Enter'], 8)).toEqual([code, other])
  })

  it('a slow key before the burst does not become part of it', () => {
    const reader = new BurstReader()
    reader.take({ key: 'x', atMs: -5_000, isCommand: false, isRepeatedOrComposed: false })
    expect(typed([...code, 'Enter'], 8, reader)).toEqual([code])
  })

  it.each([
    ['German', 'HTTPSÖ--', '-', '.'],
    ['Spanish', 'HTTPSÑ--', '-', '.'],
    ['Italian', 'HTTPSÇ--', '-', '.'],
  ])('an address typed by a US reader on a %s layout is read', (_, start, slash, dot) => {
    const host = ['tags', 'valdorena', 'example'].join(dot).toUpperCase()
    const keys = [...`${start}${host}${slash}T${slash}${code}`, 'Enter']
    const [text = ''] = typed(keys, 8)
    expect(text).toBe(tagAddress('tags.valdorena.example', code))
    expect(parseTagInput(text)).toEqual({ ok: true, code, host: 'tags.valdorena.example' })
  })

  it('Y and Z changed places by a layout are caught by the check character', () => {
    const withZ = Array.from({ length: 200 }, (_, nr) => exampleCode(nr)).find(
      (one) => one.includes('Z') && !one.includes('Y'),
    )
    expect(withZ).toBeDefined()
    const swapped = (withZ ?? '').replaceAll('Z', 'Y')
    const [text = ''] = typed([...swapped, 'Enter'], 8)
    expect(parseTagInput(text)).toMatchObject({ ok: false, problem: 'wrong_check' })
  })
})

describe('a person who types', () => {
  it('typing slower than a reader is never a read', () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom(...code, 'Enter', 'Tab', 'Shift'), { maxLength: 60 }),
        fc.integer({ min: KEY_GAP_LIMIT_MS + 1, max: 2_000 }),
        (keys, gapMs) => {
          expect(typed(keys, gapMs)).toEqual([])
        },
      ),
    )
  })

  it('a short burst, as of two fingers at once, is no read', () => {
    expect(typed([...code.slice(0, KEYS_FEWEST - 1), 'Enter'], 8)).toEqual([])
  })

  it('a fast burst that Enter follows late is no read', () => {
    const reader = new BurstReader()
    typed([...code], 8, reader)
    const late = 11 * 8 + KEY_GAP_LIMIT_MS + 1
    const plain = { isCommand: false, isRepeatedOrComposed: false }
    expect(reader.take({ key: 'Enter', atMs: late, ...plain }).is).toBe('typing')
  })

  it.each(['ArrowLeft', 'Backspace', 'Escape', 'Unidentified'])(
    '%s ends a burst: no reader sends it',
    (key) => {
      expect(typed([...code, key, 'Enter'], 8)).toEqual([])
    },
  )

  it('a command and a key held down end a burst', () => {
    for (const odd of [{ isCommand: true }, { isRepeatedOrComposed: true }]) {
      const reader = new BurstReader()
      typed([...code], 8, reader)
      const plain = { isCommand: false, isRepeatedOrComposed: false }
      reader.take({ key: 'c', atMs: 11 * 8, ...plain, ...odd })
      expect(reader.take({ key: 'Enter', atMs: 12 * 8, ...plain }).is).toBe('typing')
    }
  })
})
