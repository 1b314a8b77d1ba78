// What the reader of a block's CSV file accepts, and that every bad line is named.
import { describe, expect, test } from 'vitest'
import { parseBlockCsv } from '../../api/nursery/block-csv.ts'
import type { BlockCsvResult, KnownVariety } from '../../api/nursery/block-csv-types.ts'

const knownVarieties: KnownVariety[] = [
  { id: '1', name: 'Kober 5BB', synonyms: ['5BB'] },
  { id: '2', name: '110 Richter', synonyms: ['110R'] },
  { id: '3', name: 'Syrah', synonyms: ['Shiraz'] },
  { id: '4', name: 'Albariño', synonyms: ['Alvarinho'] },
]

function parse(
  file: string | Uint8Array,
  rowsNumberedFrom: 'first' | 'last' = 'first',
): BlockCsvResult {
  const bytes = typeof file === 'string' ? new TextEncoder().encode(file) : file
  return parseBlockCsv(bytes, { rowsNumberedFrom, knownVarieties, currentYear: 2027 })
}

const noTrunk = { plantedYear: null, rootstock: null, interstock: null }

describe('what is read', () => {
  test('English and Spanish headings, in any case and spacing, give the same rows', () => {
    const english = parse(
      'Row,FROM,To,Root Stock,rootstock-clone,Year Planted\n7,1,9,5bb,k12,2011\n',
    )
    const spanish = parse(
      'Hilera;Desde;HASTA;Portainjerto;Clon_Portainjerto;Año de plantación\n7;1;9;5BB;k12;2011\n',
    )
    expect(english.problems).toEqual([])
    expect(english.rows).toEqual([
      {
        label: '7',
        sequence: 1,
        positionCount: 9,
        missing: [],
        sections: [
          {
            fromPosition: 1,
            toPosition: 9,
            plantedYear: 2011,
            rootstock: { name: 'Kober 5BB', clone: 'k12' },
            interstock: null,
          },
        ],
      },
    ])
    expect(spanish.problems).toEqual([])
    expect(spanish.rows).toEqual(english.rows)
    expect([english.separator, spanish.separator]).toEqual([',', ';'])
  })

  test('several lines of a row become its sections, with a missing stretch between them', () => {
    const text =
      'row\tfrom\tto\tmissing\trootstock\tinterstock\n' +
      '12A\t1\t20\t3, 17-19\t110R\t\n' +
      '12A\t24\t40\t21 – 23\t110R\tALBARINO\n'
    const { rows, problems, separator } = parse(text)
    expect(problems).toEqual([])
    expect(separator).toBe('\t')
    expect(rows[0]?.missing).toEqual([3, 17, 18, 19, 21, 22, 23])
    const rootstock = { name: '110 Richter', clone: null }
    expect(rows[0]?.sections).toEqual([
      { ...noTrunk, fromPosition: 1, toPosition: 20, rootstock },
      {
        ...noTrunk,
        fromPosition: 24,
        toPosition: 40,
        rootstock,
        interstock: { name: 'Albariño', clone: null },
      },
    ])
  })

  test('positions counted from the far end are turned to count from the head', () => {
    const { rows, problems } = parse(
      'row,from,to,missing,counted_from,rootstock\n1,1,10,2,far,5BB\n1,11,30,30,far,110R\n',
    )
    expect(problems).toEqual([])
    expect(rows[0]?.positionCount).toBe(30)
    expect(rows[0]?.missing).toEqual([1, 29])
    expect(rows[0]?.sections.map((each) => [each.fromPosition, each.toPosition])).toEqual([
      [1, 20],
      [21, 30],
    ])
  })

  test('one row may be counted from both ends when its length is written', () => {
    const head = 'row,from,to,counted_from,row_positions\n'
    const { rows, problems } = parse(`${head}1,1,10,head,30\n1,1,20,far,\n`)
    expect(problems).toEqual([])
    expect(rows[0]?.sections.map((each) => [each.fromPosition, each.toPosition])).toEqual([
      [1, 10],
      [11, 30],
    ])
    const without = parse('row,from,to,counted_from\n1,1,10,head\n1,1,20,far\n')
    expect(without.rows).toEqual([])
    expect(without.problems).toMatchObject([{ line: 3, column: 'counted_from', value: 'far' }])
  })

  test('a count of places stands for the last position', () => {
    const { rows, problems } = parse('row,from,vines\n1,,60\n2,1,20\n2,21,5\n')
    expect(problems).toEqual([])
    expect(rows.map((row) => row.positionCount)).toEqual([60, 25])
  })

  test('rows numbered from the last row get the opposite sequence', () => {
    const text = 'row,to\nA,5\nB,6\nC,7\n'
    expect(parse(text).rows.map((row) => [row.sequence, row.label])).toEqual([
      [1, 'A'],
      [2, 'B'],
      [3, 'C'],
    ])
    expect(parse(text, 'last').rows.map((row) => [row.sequence, row.label])).toEqual([
      [1, 'C'],
      [2, 'B'],
      [3, 'A'],
    ])
  })

  test('blank lines, CRLF, CR, a missing last line end and a sep= line change nothing', () => {
    const plain = parse('row,to\n1,5\n2,6\n').rows
    for (const text of [
      'row,to\r\n1,5\r\n2,6',
      'row,to\r1,5\r2,6\r',
      'row,to\n\n1,5\n,\n2,6\n\n\n',
      'sep=;\r\nrow;to\r\n1;5\r\n2;6\r\n',
      '"row","to"\n"1","5"\n"2","6"\n',
    ]) {
      expect(parse(text)).toMatchObject({ rows: plain, problems: [] })
    }
  })

  test('line numbers count blank lines, as the spreadsheet does, but not a sep= line', () => {
    expect(parse('row,to\n\n\n1,x\n').problems).toMatchObject([{ line: 4, column: 'to' }])
    expect(parse('sep=;\nrow;to\n1;x\n').problems).toMatchObject([{ line: 2, column: 'to' }])
  })

  test('columns that are not read are named in a note', () => {
    const { notes, problems } = parse('row,to,slope,remarks\n1,5,north,stony\n')
    expect(problems).toEqual([])
    expect(notes).toEqual(['These columns are not read: C “slope”, D “remarks”.'])
  })

  test('a list that may be a decimal number is read and pointed out', () => {
    const { rows, notes } = parse('row;to;missing\n1;60;3,4\n')
    expect(rows[0]?.missing).toEqual([3, 4])
    expect(notes.join()).toContain('Line 2: “3,4” was read as the missing positions 3 and 4.')
  })

  test('rows sorted as text are pointed out', () => {
    expect(parse('row,to\n1,5\n10,5\n11,5\n2,5\n').notes.join()).toContain('up and down')
    expect(parse('row,to\n1,5\n2,5\n10,5\n11,5\n').notes).toEqual([])
  })
})

describe('encodings', () => {
  const text = 'row,to,rootstock\nMañana,5,Albariño\n'
  const utf16 = (bigEndian: boolean): Uint8Array => {
    const body = Buffer.from(`\uFEFF${text}`, 'utf16le')
    return bigEndian ? body.swap16() : body
  }
  // Bytes by the WHATWG Encoding Standard, index windows-1252: ñ is F1, ’ is 92, € is 80.
  const windows1252 = Buffer.from(text, 'latin1')

  test.each([
    ['UTF-8', Buffer.from(text)],
    ['UTF-8 with byte order mark', Buffer.from(`\uFEFF${text}`)],
    ['UTF-16 little-endian', utf16(false)],
    ['UTF-16 big-endian', utf16(true)],
    ['Windows-1252', windows1252],
  ])('%s is recognised and accents survive', (encoding, bytes) => {
    const result = parse(bytes)
    expect(result.encoding).toBe(encoding)
    expect(result.problems).toEqual([])
    expect(result.rows[0]?.label).toBe('Mañana')
    expect(result.rows[0]?.sections[0]?.rootstock?.name).toBe('Albariño')
  })

  test('a guessed encoding is said in the notes', () => {
    expect(parse(windows1252).notes.join()).toContain('Windows-1252')
    expect(parse(utf16(false)).notes.join()).toContain('UTF-16')
    expect(parse(Buffer.from(text)).notes).toEqual([])
  })

  test('quotation mark and euro sign of Windows-1252 are not read as control characters', () => {
    const bytes = Buffer.concat([
      Buffer.from('row,to\n'),
      Buffer.from([0x4c, 0x92, 0x80, 0xe9]),
      Buffer.from(',5\n'),
    ])
    expect(parse(bytes).rows[0]?.label).toBe('L’€é')
  })

  test.each([
    ['no bytes', Buffer.alloc(0), 'The file is empty.'],
    ['blank lines only', Buffer.from('\r\n \r\n'), 'only blank lines'],
    ['10 MB', Buffer.alloc(10 * 1024 * 1024, 'a'), '10.0 MB; at most 2 MB'],
    ['an .xlsx or .ods file', Buffer.from('PK\x03\x04rest'), 'not a CSV file'],
    ['UTF-16 without mark', Buffer.from('row,to\n1,5\n', 'utf16le'), 'null characters'],
    ['UTF-16 cut in half', Buffer.from([0xff, 0xfe, 0x00, 0xd8]), 'says it is UTF-16'],
    ['a wrong UTF-8 mark', Buffer.from([0xef, 0xbb, 0xbf, 0xff]), 'says it is UTF-8'],
  ])('%s is refused as a whole, with a remedy', (_name, bytes, message) => {
    const { rows, problems } = parse(bytes)
    expect(rows).toEqual([])
    expect(problems).toHaveLength(1)
    expect(problems[0]).toMatchObject({ line: null, column: null })
    expect(problems[0]?.message).toContain(message)
    expect(problems[0]?.remedy).not.toBe('')
  })
})
