// Which texts out of a symbol are tags, and which are foreign.
import { describe, expect, it } from 'vitest'
import { kindOfText, sameThingKey } from '../../../scanner/camera/read-text.ts'
import { tagAddress } from '#trade/tag-code.ts'
import { handoverText } from '#wire/handover.ts'
import { exampleCode } from '../../labels/examples.ts'

const code = exampleCode(7)

describe('what a symbol holds', () => {
  it('a bare code and an address of any host are tags', () => {
    expect(kindOfText(code)).toBe('tag')
    expect(kindOfText(tagAddress('tags.valdorena.example', code))).toBe('tag')
    expect(kindOfText(tagAddress('other.example:8443', code))).toBe('tag')
  })

  it.each([
    ['a wrong check character', code.slice(0, 10) + (code.endsWith('5') ? '6' : '5')],
    ['small letters, which we never print', code.toLowerCase()],
    ['groups, which we never print into a symbol', `${code.slice(0, 4)}-${code.slice(4)}`],
    ['an address elsewhere', 'https://elsewhere.example/menu'],
    ['a network', 'WIFI:S:Cellar;T:WPA;P:secret;;'],
    ['four thousand characters', 'x'.repeat(4_000)],
    ['nothing', ''],
    ['an address whose code is cut', `HTTPS://TAGS.EXAMPLE/T/${code.slice(0, 8)}`],
  ])('%s is foreign', (_, text) => {
    expect(kindOfText(text)).toBe('foreign')
  })

  it('what one phone shows to another at a handover is neither tag nor foreign', () => {
    const id = '01990000-0000-7000-8000-000000000000'
    const wood = { lotId: id, bundleId: null, unit: 'stick' as const, count: 40 }
    expect(kindOfText(handoverText({ handoverId: id, wood }))).toBe('handover')
  })

  it('a code is the same thing with and without an address, and no other code is', () => {
    const address = tagAddress('tags.valdorena.example', code)
    expect(sameThingKey(address)).toBe(sameThingKey(code))
    expect(sameThingKey(exampleCode(8))).not.toBe(sameThingKey(code))
  })
})
