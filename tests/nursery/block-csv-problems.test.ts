// That every bad heading, line and cell of a block's CSV file is named with its place and remedy.
import { describe, expect, test } from 'vitest'
import { parseBlockCsv } from '../../api/nursery/block-csv.ts'
import { CSV_LINES_LIMIT, type BlockCsvResult } from '../../api/nursery/block-csv-types.ts'

function parse(text: string): BlockCsvResult {
  return parseBlockCsv(new TextEncoder().encode(text), {
    rowsNumberedFrom: 'first',
    knownVarieties: [
      { id: '1', name: 'Kober 5BB', synonyms: ['5BB'] },
      { id: '2', name: '110 Richter', synonyms: ['110R', 'R110'] },
      { id: '3', name: 'Pinot noir', synonyms: ['Spätburgunder'] },
      { id: '4', name: 'Pinot blanc', synonyms: ['Weissburgunder', 'Pinot'] },
      { id: '5', name: 'Pinot gris', synonyms: ['Pinot'] },
    ],
    currentYear: 2027,
  })
}

const columns = 'row,from,to,missing,rootstock,rootstock_clone,planted,counted_from'
const longLabel = 'x'.repeat(21)

describe('cells', () => {
  test.each<[string, string, string, string, string]>([
    ['a decimal comma', '1,,"60,5",,,,,', 'to', '60,5', 'decimal part'],
    ['a decimal point', '1,,60.5,,,,,', 'to', '60.5', 'decimal part'],
    ['decimals that are nought', '1,,60.00,,,,,', 'to', '60.00', 'decimal part'],
    ['a thousands mark', '1,,"1,200",,,,,', 'to', '1,200', 'for thousands'],
    ['a negative number', '1,-1,60,,,,,', 'from', '-1', 'negative'],
    ['a minus sign of typography', '1,−1,60,,,,,', 'from', '−1', 'negative'],
    ['nought', '1,0,60,,,,,', 'from', '0', '0 is not possible'],
    ['a row too long', '1,,2001,,,,,', 'to', '2001', '2000 positions'],
    ['a number of many digits', '1,,99999999999999999999,,,,,', 'to', '9999', 'too large'],
    ['an exponent', '1,,6e1,,,,,', 'to', '6e1', 'whole number'],
    ['text for a number', '1,,sixty,,,,,', 'to', 'sixty', 'whole number'],
    ['digits of another script', '1,,٦٠,,,,,', 'to', '٦٠', '0 to 9'],
    ['the end before the beginning', '1,9,3,,,,,', 'to', '3', 'before it begins'],
    ['no end', '1,1,,,,,,', 'to', '', 'where the section ends'],
    ['no label', ',1,60,,,,,', 'row', '', 'names no row'],
    ['a label too long', `${longLabel},1,60,,,,,`, 'row', longLabel, 'too long'],
    ['an unknown end', '1,,60,,,,,left', 'counted_from', 'left', 'not known'],
    ['a planting year to come', '1,,60,,,,2028,', 'planted', '2028', 'still to come'],
    ['a planting year long ago', '1,,60,,,,1066,', 'planted', '1066', 'before 1800'],
    ['a date for a year', '1,,60,,,,01/03/2019,', 'planted', '01/03/2019', 'four digits'],
    ['a formula', '1,,=B2+5,,,,,', 'to', '=B2+5', 'formula'],
    ['a formula in a label', '=A1,,60,,,,,', 'row', '=A1', 'formula'],
    ['an error of the sheet', '1,,#REF!,,,,,', 'to', '#REF!', 'error of the spreadsheet'],
    ['an error in Spanish', '1,,#¡VALOR!,,,,,', 'to', '#¡VALOR!', 'error of the spreadsheet'],
    ['a line break', '"1\n2",,60,,,,,', 'row', '1[U+000A]2', 'line break'],
    ['a clone without variety', '1,,60,,,k5,,', 'rootstock_clone', 'k5', 'no rootstock'],
    ['a missing vine outside', '1,,60,"59, 61",,,,', 'missing', '59, 61', 'position 61 outside'],
    ['a list turned into a date', '1,,60,5-Mar,,,,', 'missing', '5-Mar', 'into a date'],
    ['a list turned into a full date', '1,,60,2027-03-05,,,,', 'missing', '2027-03-05', 'a date'],
    ['a list that descends', '1,,60,"3,1",,,,', 'missing', '3,1', 'must ascend'],
    ['a range backwards', '1,,60,19-17,,,,', 'missing', '19-17', 'backwards'],
    ['missing position 0', '1,,60,0-3,,,,', 'missing', '0-3', 'Position 0'],
    ['a huge range', '1,,60,1-999999999,,,,', 'missing', '1-999999999', 'longest row'],
    ['words in a list', '1,,60,"3, x",,,,', 'missing', '3, x', '“x” is no position'],
    ['a shared name', '1,,60,,Pinot,,,', 'rootstock', 'Pinot', '“Pinot blanc”, “Pinot gris”'],
    ['a direction override', '1\u202E2,,60,,,,,', 'row', '1[U+202E]2', 'U+202E'],
    ['a zero-width space', '1\u200B,,60,,,,,', 'row', '1[U+200B]', 'U+200B'],
    ['two alphabets', '1,,60,,5BB,k\u0430k,,', 'rootstock_clone', 'k\u0430k', 'U+0430'],
    ['a lost letter', 'a\uFFFDb,,60,,,,,', 'row', 'a\uFFFDb', 'lost in saving'],
    [
      'a soft hyphen in a clone',
      '1,,60,,5BB,k\u00AD5,,',
      'rootstock_clone',
      'k[U+00AD]5',
      'U+00AD',
    ],
  ])('%s is named with line, column, value and remedy', (_name, line, column, value, message) => {
    const { rows, problems } = parse(`${columns}\nok,,5,,,,,\n${line}\n`)
    expect(problems).toHaveLength(1)
    expect(problems[0]).toMatchObject({ line: 3, column })
    expect(problems[0]?.value).toContain(value)
    expect(problems[0]?.message).toContain(message)
    expect(problems[0]?.remedy).not.toBe('')
    expect(rows.map((row) => row.label)).toEqual(['ok'])
  })

  test('every bad cell is named, not only the first of a line or file', () => {
    const { problems } = parse(`${columns}\n1,0,x,,,,19,\n2,,60,,,,,up\n,,,,,,,\n3,,-3,,,,,\n`)
    expect(problems.map((each) => [each.line, each.column])).toEqual([
      [2, 'from'],
      [2, 'to'],
      [2, 'planted'],
      [3, 'counted_from'],
      [5, 'to'],
    ])
  })

  test('the heading is named as the file writes it', () => {
    expect(parse('Fila;Hasta\n1;x\n').problems).toMatchObject([{ line: 2, column: 'Hasta' }])
  })

  test.each([
    ['Pinto noir', 'Pinot noir'],
    ['Spatburgundr', 'Spätburgunder'],
    ['110 R', '110R'],
  ])('the unknown variety %s is answered with the closest known name', (written, closest) => {
    const [problem] = parse(`row,to,rootstock\n1,60,${written}\n`).problems
    expect(problem).toMatchObject({ line: 2, column: 'rootstock', value: written })
    expect(problem?.message).toContain(`“${closest}”`)
    expect(problem?.remedy).toContain(`Write “${closest}”`)
  })

  test('a label that starts with a guarded sign is read without the guard', () => {
    expect(parse("row,to\n'-1,5\n''=1,5\n").rows.map((row) => row.label)).toEqual(['-1', "'=1"])
  })
})

describe('rows', () => {
  test.each<[string, string, number, string]>([
    ['overlapping sections', '1,1,30,\n1,30,60,', 3, 'Lines 2 and 3 both describe position 30'],
    ['a row described twice', '1,1,30,\n2,1,9,\n1,1,30,', 4, 'positions 1–30 of row 1'],
    ['a section inside another', '1,1,30,\n1,5,9,', 3, 'positions 5–9'],
    ['a gap', '1,1,30,\n1,34,60,"31, 32"', 2, 'No line of row 1 describes position 33'],
    ['a gap at the head', '1,4,30,', 2, 'positions 1–3'],
    ['labels that differ by case only', '1a,1,30,\n1A,31,60,', 3, 'look alike'],
  ])('%s: the lines and positions are named', (_name, lines, line, message) => {
    const { problems, rows } = parse(`row,from,to,missing\n${lines}\n`)
    expect(problems).toHaveLength(1)
    expect(problems[0]?.line).toBe(line)
    expect(problems[0]?.message).toContain(message)
    expect(rows.map((row) => row.label)).not.toContain('1')
  })

  test('a section may not reach beyond the stated length of its row', () => {
    const { problems } = parse('row,to,row_positions\n1,60,50\n2,10,12\n3,1,x\n')
    expect(problems.map((each) => [each.line, each.column])).toEqual([
      [2, 'to'],
      [3, 'from'],
      [4, 'row_positions'],
    ])
    expect(parse('row,from,to,row_positions\n1,1,5,9\n1,6,9,8\n').problems).toMatchObject([
      { line: 3, column: 'row_positions', value: '8' },
    ])
  })

  test('to and vines must agree where both are written', () => {
    expect(parse('row,to,vines\n1,60,57\n').problems).toMatchObject([{ line: 2, column: 'vines' }])
    expect(parse('row,from,vines\n1,1990,57\n').problems).toMatchObject([{ line: 2 }])
  })

  test('more than 1,000 rows are refused at the first one too many', () => {
    const lines = Array.from({ length: 1001 }, (_, index) => `r${index + 1},9`)
    const { problems, rows } = parse(`row,to\n${lines.join('\n')}\n`)
    expect(problems).toMatchObject([{ line: 1002, column: 'row', value: 'r1001' }])
    expect(problems[0]?.message).toContain('1001 rows; at most 1000')
    expect(rows).toHaveLength(1000)
  })

  test('a file of too many lines is refused at the first one too many', () => {
    const { problems } = parse(`row,to\n1,9\n${'\n'.repeat(CSV_LINES_LIMIT)}`)
    expect(problems).toMatchObject([{ line: CSV_LINES_LIMIT + 1 }])
  })
})

describe('headings', () => {
  test('wrong headings say what was found, what is needed and what is near', () => {
    const [problem, ...more] = parse('rowz,too,rotstock\n1,60,5BB\n').problems
    expect(more).toEqual([])
    expect(problem).toMatchObject({ line: 1, value: 'rowz | too | rotstock' })
    expect(problem?.message).toContain('Found: “rowz”, “too”, “rotstock”.')
    expect(problem?.message).toContain('“row” and “to” (or “vines”)')
    expect(problem?.remedy).toContain('“rowz” is near “row”')
    expect(problem?.remedy).toContain('“rotstock” is near “rootstock”')
    expect(problem?.remedy).toContain('rootstock_clone')
  })

  test('a mistyped optional heading is refused, so that its column is not lost', () => {
    expect(parse('row,to,rotstock\n1,60,5BB\n').problems).toMatchObject([
      { line: 1, column: 'rotstock', message: 'The heading in column C is not known.' },
    ])
  })

  test.each([
    ['row,to,to\n1,2,3\n', 'Columns B (“to”) and C (“to”) have the same heading.'],
    ['row,to,hasta\n1,2,3\n', 'Columns B (“to”) and C (“hasta”) mean the same.'],
  ])('doubled headings are named with their column letters: %j', (text, message) => {
    expect(parse(text).problems[0]).toMatchObject({ line: 1, message })
  })

  test('headings below other text are found and said', () => {
    const [problem] = parse('My block\n\nrow,to\n1,60\n').problems
    expect(problem).toMatchObject({ line: 1, value: 'My block' })
    expect(problem?.message).toContain('stand in line 3')
  })

  test('a file of headings only is refused', () => {
    expect(parse('row,to\n').problems).toMatchObject([
      { line: 1, message: 'The file holds headings but no row.' },
    ])
  })

  test('a cell under no heading is named', () => {
    expect(parse('row,to,\n1,60,note\n').problems).toMatchObject([{ line: 2, value: 'note' }])
    expect(parse('row,to\n1,60,5\n').problems).toMatchObject([{ line: 2, value: '5' }])
  })
})

describe('quotation marks', () => {
  test('a mark that is not closed is named by its own line, and other lines are still read', () => {
    const { problems, rows } = parse('row,to,rootstock\n1,60,"5BB\n2,30,5BB\n3,x,"5BB\n')
    expect(problems.map((each) => [each.line, each.column])).toEqual([
      [2, null],
      [4, null],
    ])
    expect(rows.map((row) => row.label)).toEqual(['2'])
  })

  test('a mark inside a cell is named', () => {
    expect(parse('row,to\n1"a,60\n').problems).toMatchObject([{ line: 2, value: '1"a,60' }])
  })

  test('rows that a doubled slip would hide inside an unread cell are not lost silently', () => {
    const { problems } = parse('row,to,slope\n1,60,"north\n2,30,south"\n3,9,west\n')
    expect(problems).toMatchObject([{ line: 2, column: null }])
    expect(problems[0]?.message).toContain('runs over 2 lines')
  })

  test('a line break in an unread cell is no problem, and later lines keep their number', () => {
    const { problems } = parse('row,to,slope\n1,60,"north\nand south"\n2,x,west\n')
    expect(problems).toMatchObject([{ line: 3, column: 'to' }])
  })
})
