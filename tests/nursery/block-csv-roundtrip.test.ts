// That rows written as CSV and read back are the same rows, whatever their labels and trunks.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { parseBlockCsv } from '../../api/nursery/block-csv.ts'
import type { KnownVariety, ParsedRow, ParsedSection } from '../../api/nursery/block-csv-types.ts'
import { blockToCsv } from '../../api/nursery/block-csv-write.ts'
import { readPositionList, writePositionList } from '../../api/nursery/position-list.ts'

const knownVarieties: KnownVariety[] = [
  { id: '1', name: 'Kober 5BB', synonyms: ['5BB'] },
  { id: '2', name: '=Weiß, "rot"; grün', synonyms: [] },
  { id: '3', name: "'-1", synonyms: [] },
  { id: '4', name: '@Ñandú', synonyms: [] },
]
const options = { rowsNumberedFrom: 'first', knownVarieties, currentYear: 2027 } as const

const signs = fc.constantFrom(...'abcZ019 ,;"\'=+-@/äñß²中🍇'.split(/(?:)/u))
const text = fc
  .array(signs, { minLength: 1, maxLength: 12 })
  .map((parts) => parts.join('').replace(/ +/g, ' ').trim().normalize('NFC'))
  .filter((made) => made !== '')

const trunkPart = fc.option(
  fc.record({
    name: fc.constantFrom(...knownVarieties.map((variety) => variety.name)),
    clone: fc.option(text),
  }),
)

interface Stretch {
  length: number
  open: boolean
  plantedYear: number | null
  rootstock: ParsedSection['rootstock']
  interstock: ParsedSection['interstock']
  lost: number[]
}

const stretch: fc.Arbitrary<Stretch> = fc.record({
  length: fc.integer({ min: 1, max: 40 }),
  open: fc.boolean(),
  plantedYear: fc.option(fc.integer({ min: 1800, max: 2027 })),
  rootstock: trunkPart,
  interstock: trunkPart,
  lost: fc.uniqueArray(fc.nat({ max: 39 }), { maxLength: 8 }),
})

// Stretches laid end to end: an open one is all missing and in no section.
function layOut(label: string, sequence: number, stretches: readonly Stretch[]): ParsedRow {
  const sections: ParsedSection[] = []
  const missing = new Set<number>()
  let next = 1
  for (const [index, each] of stretches.entries()) {
    const toPosition = next + each.length - 1
    const { plantedYear, rootstock, interstock } = each
    // The first stretch is a section always: a row without any section cannot be written.
    if (!each.open || index === 0) {
      sections.push({ fromPosition: next, toPosition, plantedYear, rootstock, interstock })
      for (const lost of each.lost) if (lost < each.length) missing.add(next + lost)
    } else {
      for (let at = next; at <= toPosition; at += 1) missing.add(at)
    }
    next = toPosition + 1
  }
  const ascending = [...missing].sort((left, right) => left - right)
  return { label, sequence, positionCount: next - 1, missing: ascending, sections }
}

const rows = fc
  .uniqueArray(fc.tuple(text, fc.array(stretch, { minLength: 1, maxLength: 5 })), {
    minLength: 1,
    maxLength: 12,
    selector: ([label]) => label.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase(),
  })
  .map((made) => made.map(([label, stretches], index) => layOut(label, index + 1, stretches)))

describe('round trip', () => {
  test('rows written with any separator read back the same, without a problem', () => {
    fc.assert(
      fc.property(rows, fc.constantFrom(',', ';', '\t'), (block, separator) => {
        const bytes = new TextEncoder().encode(blockToCsv(block, separator))
        const read = parseBlockCsv(bytes, options)
        expect(read.problems).toEqual([])
        expect(read.rows).toEqual(block)
        expect(read.separator).toBe(separator)
        expect(read.encoding).toBe('UTF-8 with byte order mark')
      }),
      { numRuns: 300 },
    )
  })

  test('no cell that is written can be taken for a formula', () => {
    fc.assert(
      fc.property(rows, (block) => {
        const cells = blockToCsv(block, '\t')
          .replace('\uFEFF', '')
          .split(/[\t]|\r\n/)
        for (const cell of cells) expect(cell.replace(/^"/, '')).not.toMatch(/^[=+\-@\r]/)
      }),
    )
  })

  test('counting a row from its far end describes the same row', () => {
    fc.assert(
      fc.property(fc.array(stretch, { minLength: 1, maxLength: 5 }), (stretches) => {
        const row = layOut('1', 1, stretches)
        const turn = (position: number): number => row.positionCount + 1 - position
        const turned: ParsedRow = {
          ...row,
          missing: row.missing.map(turn).reverse(),
          sections: row.sections.map((section) => ({
            ...section,
            fromPosition: turn(section.toPosition),
            toPosition: turn(section.fromPosition),
          })),
        }
        const [heading, ...lines] = blockToCsv([turned]).trimEnd().split('\r\n')
        const far = [`${heading},counted_from`, ...lines.map((line) => `${line},far`)].join('\r\n')
        const read = parseBlockCsv(new TextEncoder().encode(far), options)
        expect(read.problems).toEqual([])
        expect(read.rows).toEqual([row])
      }),
    )
  })

  test('a row whose places no section describes is written and read as trunkless', () => {
    const bare: ParsedRow = {
      label: '1',
      sequence: 1,
      positionCount: 9,
      missing: [4],
      sections: [],
    }
    const read = parseBlockCsv(new TextEncoder().encode(blockToCsv([bare])), options)
    const trunkless = { plantedYear: null, rootstock: null, interstock: null }
    expect(read.problems).toEqual([])
    expect(read.rows).toEqual([
      { ...bare, sections: [{ fromPosition: 1, toPosition: 9, ...trunkless }] },
    ])
  })

  test('any list of positions survives writing and reading, with either range word', () => {
    const list = fc
      .uniqueArray(fc.integer({ min: 1, max: 2000 }), { maxLength: 60 })
      .map((positions) => positions.sort((left, right) => left - right))
    fc.assert(
      fc.property(list, fc.constantFrom(' to ', '-', '–', ' a '), (positions, word) => {
        const written = writePositionList(positions, word)
        expect(readPositionList(written)).toEqual({ ok: true, value: positions })
      }),
    )
  })

  test('no bytes whatever make the reader throw, and what it refuses has a remedy', () => {
    const noise = fc.oneof(
      fc.uint8Array({ maxLength: 200 }),
      fc.string({ unit: 'binary', maxLength: 200 }).map((made) => new TextEncoder().encode(made)),
      fc
        .array(fc.constantFrom('row', 'to', 'from', ',', ';', '\n', '"', '1', '-', '=', ' ', 'x'), {
          maxLength: 60,
        })
        .map((parts) => new TextEncoder().encode(parts.join(''))),
    )
    fc.assert(
      fc.property(noise, (bytes) => {
        const read = parseBlockCsv(bytes, options)
        expect(read.rows.length + read.problems.length).toBeGreaterThan(0)
        for (const problem of read.problems) expect(problem.remedy).not.toBe('')
      }),
      { numRuns: 2000 },
    )
  })
})
