// The symbols of tags: as few modules as the standard's capacity table allows.
import { describe, expect, test } from 'vitest'
import {
  dotMm,
  dotsPerModule,
  fieldTagSymbol,
  leavingLabelSymbol,
} from '../../api/labels/symbol.ts'
import { exampleCode } from './examples.ts'

// ISO/IEC 18004, characters in alphanumeric mode by version at levels Q and H, as published in
// the standard's capacity table.
const CAPACITY = { Q: [16, 29, 47, 67, 87, 108], H: [10, 20, 35, 50, 64, 84] }

describe('symbols', () => {
  test('a field tag carries the bare code at level H in version 2, 25 modules a side', () => {
    for (let number = 0; number < 200; number++) {
      const code = exampleCode(number)
      expect(fieldTagSymbol(code)).toMatchObject({
        payload: code,
        level: 'H',
        version: 2,
        sideModules: 25,
      })
    }
  })

  test.each(['a.example', 'tags.example.org', 'tags.valdorena.example', `${'x'.repeat(40)}.org`])(
    'a leaving label for %s has no more modules than level Q needs, and level H where it is free',
    (host) => {
      const symbol = leavingLabelSymbol(host, exampleCode(1))
      const { length } = symbol.payload
      expect(symbol.payload).toBe(`HTTPS://${host.toUpperCase()}/T/${exampleCode(1)}`)
      const versionAt = (level: 'Q' | 'H') =>
        CAPACITY[level].findIndex((most) => most >= length) + 1
      expect(symbol.version).toBe(versionAt('Q'))
      expect(symbol.sideModules).toBe(17 + 4 * symbol.version)
      expect(symbol.level).toBe(versionAt('H') === versionAt('Q') ? 'H' : 'Q')
    },
  )

  test('a text that is no code gets no symbol', () => {
    expect(() => fieldTagSymbol('ABC')).toThrow(/"ABC" is not a tag code/)
    expect(() => leavingLabelSymbol('tags.example.org', 'ABC')).toThrow(/is not a tag code/)
  })

  // Rule of thumb from memory: 4 dots at 203 dpi are 0.5 mm, 4 dots at 300 dpi are 0.34 mm.
  test('dots and millimetres convert at the printer resolution', () => {
    expect(4 * dotMm(203)).toBeCloseTo(0.5, 2)
    expect(4 * dotMm(300)).toBeCloseTo(0.34, 2)
    expect(dotsPerModule(25.4, 203)).toBe(203)
    expect(dotsPerModule(6 * dotMm(300), 300)).toBeCloseTo(6, 12)
  })
})
