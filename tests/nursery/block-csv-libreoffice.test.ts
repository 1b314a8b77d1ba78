// That files which LibreOffice Calc itself saves are read: separators, locales, character sets.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { parseBlockCsv } from '../../api/nursery/block-csv.ts'
import type { BlockCsvResult } from '../../api/nursery/block-csv-types.ts'
import { requireLibreOffice, saveAsCsv, sheetOf } from './saved-by-calc.ts'
import type { Saving } from './saved-by-calc.ts'

let folder = ''

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'block-csv-'))
})

afterAll(async () => {
  await rm(folder, { recursive: true, force: true })
})

function parse(bytes: Uint8Array): BlockCsvResult {
  return parseBlockCsv(bytes, {
    rowsNumberedFrom: 'first',
    knownVarieties: [
      { id: '1', name: 'Kober 5BB', synonyms: ['5BB'] },
      { id: '2', name: 'Albariño', synonyms: [] },
    ],
    currentYear: 2027,
  })
}

const good = sheetOf([
  ['Fila', 'Desde', 'Hasta', 'Faltas', 'Portainjerto', 'Clon portainjerto', 'Plantado', 'Notas'],
  ['1', null, 60, '3, 17-19', '5BB', null, 2011, 'junto al camino; piedra'],
  ['2', 1, 30, null, 'kober 5bb', 'k12, "viejo"', 2011, null],
  ['2', 31, { formula: '[.C2]-10' }, '33', 'ALBARIÑO', null, 2019, null],
  [],
  ['12Ñ', null, 5, '3 to 5', null, null, null, null],
])

const expectedRows = [
  {
    label: '1',
    sequence: 1,
    positionCount: 60,
    missing: [3, 17, 18, 19],
    sections: [section(1, 60, 2011, { name: 'Kober 5BB', clone: null })],
  },
  {
    label: '2',
    sequence: 2,
    positionCount: 50,
    missing: [33],
    sections: [
      section(1, 30, 2011, { name: 'Kober 5BB', clone: 'k12, "viejo"' }),
      section(31, 50, 2019, { name: 'Albariño', clone: null }),
    ],
  },
  {
    label: '12Ñ',
    sequence: 3,
    positionCount: 5,
    missing: [3, 4, 5],
    sections: [section(1, 5, null, null)],
  },
]

function section(
  fromPosition: number,
  toPosition: number,
  plantedYear: number | null,
  rootstock: { name: string; clone: string | null } | null,
): object {
  return { fromPosition, toPosition, plantedYear, rootstock, interstock: null }
}

test.for<[string, Saving, string, string]>([
  ['comma, UTF-8', { separator: 44, characters: 76 }, ',', 'UTF-8'],
  ['semicolon, UTF-8, all in quotes', savingAll(59), ';', 'UTF-8'],
  ['semicolon, Windows-1252', { separator: 59, characters: 1 }, ';', 'Windows-1252'],
  ['tab, UTF-16', { separator: 9, characters: 65535 }, '\t', 'UTF-16 little-endian'],
])('a sheet saved with %s is read whole', async ([, saving, separator, encoding], context) => {
  requireLibreOffice(context)
  const read = parse(await saveAsCsv(folder, good, saving))
  expect(read.problems).toEqual([])
  expect(read.rows).toEqual(expectedRows)
  expect(read.separator).toBe(separator)
  expect(read.encoding).toBe(encoding)
  expect(read.notes).toContain('These columns are not read: H “Notas”.')
})

test.for<[string, Saving]>([
  ['comma', { separator: 44, characters: 76 }],
  ['semicolon', { separator: 59, characters: 76 }],
])(
  'what a decimal-comma sheet saved with %s spoils is named by its line',
  async ([, saving], context) => {
    requireLibreOffice(context)
    const sheet = sheetOf([
      ['row', 'to', 'missing', 'planted'],
      ['1', 60.5, null, 2011],
      [],
      ['2', 60, { date: '2027-03-05' }, null],
      ['3', { formula: '1/0' }, null, null],
      ['4', 60, 3.4, null],
    ])
    const read = parse(await saveAsCsv(folder, sheet, saving))
    expect(read.problems).toMatchObject([
      { line: 2, column: 'to', value: '60,5', message: expect.stringContaining('decimal part') },
      { line: 4, column: 'missing', message: expect.stringContaining('into a date') },
      { line: 5, column: 'to', value: '#DIV/0!', message: expect.stringContaining('an error') },
    ])
    expect(read.rows).toMatchObject([{ label: '4', missing: [3, 4] }])
    expect(read.notes.join()).toContain('Line 6: “3,4” was read as the missing positions 3 and 4.')
  },
)

function savingAll(separator: 44 | 59): Saving {
  return { separator, characters: 76, quoteAll: true }
}
