// That files which LibreOffice Calc itself saves are read: separators, locales, character sets.
import { execFile, spawnSync } from 'node:child_process'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, beforeAll, expect, test, type TestContext } from 'vitest'
import { parseBlockCsv } from '../../api/nursery/block-csv.ts'
import type { BlockCsvResult } from '../../api/nursery/block-csv-types.ts'

const run = promisify(execFile)
let folder = ''

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'block-csv-'))
})

afterAll(async () => {
  await rm(folder, { recursive: true, force: true })
})

// Leaves a test out, with the reason, where LibreOffice is not here; fails where tools are due.
function requireLibreOffice(context: TestContext): void {
  if (spawnSync('soffice', ['--version']).error === undefined) return
  const reason = 'soffice is not installed: apt-get install libreoffice-calc'
  const due = [process.env.CI, process.env.CANEMARK_REQUIRE_TOOLS]
  if (due.some((set) => !['', '0', 'false', undefined].includes(set))) throw new Error(reason)
  console.warn(`not run: "${context.task.name}": ${reason}`)
  context.skip(reason)
}

// Filter tokens of Calc's CSV export, from its documentation “CSV Filter Parameters”: separator
// and quote by character code, then the character set (76 UTF-8, 1 Windows-1252, 65535 UTF-16).
type Saving = { separator: 44 | 59 | 9; characters: 76 | 1 | 65535; quoteAll?: boolean }

async function saveAsCsv(sheet: string, saving: Saving): Promise<Uint8Array> {
  const source = join(folder, 'block.fods')
  await writeFile(source, sheet)
  const { separator, characters, quoteAll = false } = saving
  const tokens = `${separator},34,${characters},1,,0,${quoteAll},true,false`
  const profile = `-env:UserInstallation=file://${join(folder, 'profile')}`
  const filter = `csv:Text - txt - csv (StarCalc):${tokens}`
  const words = [profile, '--headless', '--convert-to', filter, '--outdir', folder, source]
  await run('soffice', words)
  return readFile(join(folder, 'block.csv'))
}

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

type SheetCell = string | number | { date: string } | { formula: string } | null

// A flat OpenDocument sheet whose numbers have one optional decimal and a Spanish decimal comma,
// and whose dates show as day and month.
function sheetOf(lines: readonly (readonly SheetCell[])[]): string {
  const names = ['office', 'style', 'text', 'table'].map(
    (name) => `xmlns:${name}="urn:oasis:names:tc:opendocument:xmlns:${name}:1.0"`,
  )
  const body = lines.map(
    (line) => `<table:table-row>${line.map(cellXml).join('')}</table:table-row>`,
  )
  return `<?xml version="1.0" encoding="UTF-8"?>
<office:document ${names.join(' ')}
 xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"
 xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.3"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
 <number:number-style style:name="N1" number:language="es" number:country="ES">
  <number:number number:decimal-places="1" number:min-decimal-places="0"
   number:min-integer-digits="1"/></number:number-style>
 <number:date-style style:name="N2" number:language="es" number:country="ES">
  <number:day/><number:text>-</number:text><number:month number:textual="true"/>
 </number:date-style>
 <style:style style:name="ce1" style:family="table-cell" style:data-style-name="N1"/>
 <style:style style:name="ce2" style:family="table-cell" style:data-style-name="N2"/>
</office:automatic-styles>
<office:body><office:spreadsheet><table:table table:name="Block">${body.join('\n')}
</table:table></office:spreadsheet></office:body></office:document>`
}

function cellXml(cell: SheetCell): string {
  if (cell === null) return '<table:table-cell/>'
  if (typeof cell === 'number') {
    const value = `office:value-type="float" office:value="${cell}"`
    return `<table:table-cell table:style-name="ce1" ${value}/>`
  }
  if (typeof cell === 'string') {
    const written = cell.replaceAll('&', '&amp;').replaceAll('<', '&lt;')
    return (
      '<table:table-cell office:value-type="string">' +
      `<text:p>${written}</text:p></table:table-cell>`
    )
  }
  if ('date' in cell) {
    const value = `office:value-type="date" office:date-value="${cell.date}"`
    return `<table:table-cell table:style-name="ce2" ${value}/>`
  }
  return `<table:table-cell table:formula="of:=${cell.formula}" office:value-type="float"/>`
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
  const read = parse(await saveAsCsv(good, saving))
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
    const read = parse(await saveAsCsv(sheet, saving))
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
