// A block's rows come in from a spreadsheet file in two steps, and go out again as one.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { listRows } from '../../api/nursery/read-blocks.ts'
import type { RowNow } from '../../api/nursery/read-blocks.ts'
import { graft, ids, layout, smallNursery } from '../grafting/small-nursery.ts'
import { requireLibreOffice, saveAsCsv, sheetOf } from '../nursery/saved-by-calc.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectSaved, plainText, recordedSoFar } from './form-answers.ts'
import { hiddenValue, hiddenValues, sendFile } from './send-file.ts'

let office: OfficeApp
let folder = ''
beforeAll(async () => {
  office = await officeApp(new Date('2027-12-01T12:00:00Z'))
  await smallNursery(office)
  folder = await mkdtemp(join(tmpdir(), 'block-import-'))
})
afterAll(async () => {
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

const text = (csv: string) => ({ name: 'rows.csv', bytes: new TextEncoder().encode(csv) })

async function newBlock(name: string): Promise<string> {
  const location = await expectSaved(office, '/blocks/new', { name, note: '' })
  return location.replace(/^\/blocks\//, '').replace(/\?.*$/, '')
}

const preview = (blockId: string, file: { name: string; bytes: Uint8Array }, order = 'first') =>
  sendFile(office, `/blocks/${blockId}/import`, file, { rowsNumberedFrom: order })

async function confirm(
  blockId: string,
  page: string,
  more: Record<string, string | string[]> = {},
): Promise<string> {
  const fields = {
    csv: hiddenValue(page, 'csv'),
    rowsNumberedFrom: hiddenValue(page, 'rowsNumberedFrom'),
    ...more,
  }
  return expectSaved(office, `/blocks/${blockId}/import/confirm`, fields)
}

const rowsOf = (blockId: string): Promise<RowNow[]> => listRows(office.services.db, blockId)

describe('a file that LibreOffice Calc saved', () => {
  it('is shown first, writes nothing, and is laid out once confirmed', async (context) => {
    requireLibreOffice(context)
    const sheet = sheetOf([
      ['Fila', 'Desde', 'Hasta', 'Faltas', 'Portainjerto', 'Clon portainjerto', 'Plantado'],
      ['1', null, 60, '3, 17-19', 'duro 12', null, 2011],
      ['2', 1, 30, null, 'Duro 12', '4', 2011],
      ['2', 31, 50, '33', 'Duro 12', null, 2019],
    ])
    const bytes = await saveAsCsv(folder, sheet, { separator: 59, characters: 1 })
    const blockId = await newBlock('Calc terrace')
    const before = await recordedSoFar(office)
    const { status, page } = await preview(blockId, { name: 'terraza.csv', bytes })
    expect(status).toBe(200)
    expect(await recordedSoFar(office)).toEqual(before)
    const words = plainText(page)
    expect(words).toContain('separated by semicolons')
    expect(words).toMatch(/1 1 60 3, 17 to 19 1–60: Duro 12, 2011 new/)
    expect(words).toContain('Save 2 rows')
    expect(await confirm(blockId, page)).toBe(`/blocks/${blockId}?saved=2`)
    const [first, second] = await rowsOf(blockId)
    expect(first).toMatchObject({ label: '1', position_count: 60, missing: [3, 17, 18, 19] })
    expect(second?.sections).toMatchObject([
      { from_position: 1, to_position: 30, planted_year: 2011, layers: [{ clone: '4' }] },
      { from_position: 31, to_position: 50, planted_year: 2019 },
    ])
    expect(second?.sections[0]?.layers[0]?.variety).toBe('Duro 12')
  })
})

describe('a file with bad lines', () => {
  it('names each with its line and remedy, offers no way to save, and writes nothing', async () => {
    const blockId = await newBlock('Bad terrace')
    const before = await recordedSoFar(office)
    const { status, page } = await preview(
      blockId,
      text('row,to,missing,rootstock\n1,sixty,,Duro 12\n2,40,41,Duro 12\n3,40,,\n'),
    )
    expect(status).toBe(422)
    const words = plainText(page)
    expect(words).toContain('2 problems')
    expect(words).toMatch(/line 2, to sixty A whole number is needed here/)
    expect(words).toMatch(/line 3, missing 41 Row 2 has 40 positions/)
    expect(words).toContain('one row without a problem')
    expect(page).not.toContain('/import/confirm')
    expect(page).toContain('Send the corrected file')
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('that is a spreadsheet, empty or absent is refused in words', async () => {
    const blockId = await newBlock('Odd terrace')
    const zip = { name: 'x.xlsx', bytes: new Uint8Array([0x50, 0x4b, 0x03, 0x04, 0, 0]) }
    expect(plainText((await preview(blockId, zip)).page)).toContain('not a CSV file')
    const empty = await preview(blockId, { name: 'x.csv', bytes: new Uint8Array() })
    expect(empty.status).toBe(422)
    expect(empty.page).toContain('id="error-file"')
    const none = await office.post(`/blocks/${blockId}/import`, { rowsNumberedFrom: 'first' })
    expect(none.status).toBe(422)
    const large = { name: 'x.csv', bytes: new Uint8Array(3 * 1024 * 1024).fill(65) }
    expect(plainText((await preview(blockId, large)).page)).toContain('larger than 2 MB')
  })

  it('cannot be slipped past the preview: what the form carries is read anew', async () => {
    const blockId = await newBlock('Forged terrace')
    const before = await recordedSoFar(office)
    for (const forged of ['row,to\n1,sixty\n', 'not a table at all', '']) {
      const response = await office.post(`/blocks/${blockId}/import/confirm`, {
        csv: Buffer.from(forged).toString('base64'),
        rowsNumberedFrom: 'first',
      })
      expect(response.status).toBe(422)
    }
    expect(await recordedSoFar(office)).toEqual(before)
  })
})

describe('varieties that are not registered', () => {
  const file = text('row,to,rootstock,interstock\n1,20,Casco Duro,Alba Fina\n2,20,Casco Duro,\n')

  it('are offered to be registered together with the rows', async () => {
    const blockId = await newBlock('New terrace')
    const { status, page } = await preview(blockId, file)
    expect(status).toBe(422)
    expect(plainText(page)).toContain('Register the varieties and save the rows')
    expect(hiddenValues(page, 'newName')).toEqual(['Casco Duro'])
    await confirm(blockId, page, { newName: 'Casco Duro', newUse: 'rootstock' })
    const varieties = await bodiesOf(office, 'variety.registered')
    expect(varieties.at(-1)).toMatchObject({ name: 'Casco Duro', use: 'rootstock' })
    const [row] = await rowsOf(blockId)
    expect(row?.sections[0]?.layers.map((layer) => layer.variety)).toEqual([
      'Casco Duro',
      'Alba Fina',
    ])
  })

  it('are refused when nobody says what for, and only names of the file count', async () => {
    const blockId = await newBlock('Unsaid terrace')
    const unsaid = text('row,to,rootstock\n1,20,Otro Pie\n')
    const { page } = await preview(blockId, unsaid)
    const before = await recordedSoFar(office)
    for (const choice of [
      { newName: 'Otro Pie', newUse: '' },
      { newName: 'Something Else', newUse: 'rootstock' },
    ]) {
      const response = await office.post(`/blocks/${blockId}/import/confirm`, {
        csv: hiddenValue(page, 'csv'),
        rowsNumberedFrom: 'first',
        ...choice,
      })
      expect(response.status).toBe(422)
      expect(plainText(await response.text())).toContain('choose what “Otro Pie” is grown for')
    }
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('are not offered when other lines are wrong as well', async () => {
    const blockId = await newBlock('Both terrace')
    const { page } = await preview(blockId, text('row,to,rootstock\n1,x,Otro Pie\n'))
    expect(page).not.toContain('/import/confirm')
  })
})

describe('a file for a block that has rows', () => {
  it('replaces rows of the same label, keeps id, head and known origins, and says so', async () => {
    const blockId = await newBlock('Again terrace')
    const section = layout().sections[0]
    const known = { kind: 'source' as const, id: ids.source }
    if (section === undefined) throw new Error('the layout has a section')
    const layers = section.layers.map((layer) => ({ ...layer, origin: known }))
    const rowId = ids.redSource
    await office.record([
      {
        kind: 'row.laid_out',
        body: layout({ rowId, blockId, label: 'A', sections: [{ ...section, layers }] }),
        occurredAt: new Date('2027-11-01T08:00:00Z'),
      },
      {
        kind: 'vine.removed',
        body: { rowId, position: 7, reason: 'dead' },
        occurredAt: new Date('2027-11-02T08:00:00Z'),
      },
    ])
    const { page } = await preview(
      blockId,
      text('row,to,rootstock,planted\na,60,Duro 12,2018\nB,30,Duro 12,2020\n'),
    )
    const words = plainText(page)
    expect(words).toContain('replaces row A')
    expect(words).toContain('a vine at 7, where one was removed')
    expect(words).toContain('One row is there already')
    await confirm(blockId, page)
    const rows = await rowsOf(blockId)
    expect(rows.map((row) => [row.label, row.sequence])).toEqual([
      ['a', 1],
      ['B', 2],
    ])
    expect(rows[0]).toMatchObject({ row_id: rowId, head_at: 'the track' })
    expect(rows[0]?.sections[0]?.layers[0]).toMatchObject({
      origin_kind: 'source',
      origin_id: ids.source,
    })
  })

  it('leaves rows alone that it does not name, and adds new ones after the last', async () => {
    const blockId = await newBlock('Longer terrace')
    const first = await preview(blockId, text('row,to\n1,10\n2,10\n'))
    await confirm(blockId, first.page)
    const second = await preview(blockId, text('row,to\n3,10\n2,12\n'))
    expect(plainText(second.page)).toContain('left as it is: row 1')
    await confirm(blockId, second.page)
    const rows = await rowsOf(blockId)
    expect(rows.map((row) => [row.label, row.sequence, row.position_count])).toEqual([
      ['1', 1, 10],
      ['2', 2, 12],
      ['3', 3, 10],
    ])
  })

  it('is refused where grafts would fall off the end of a row', async () => {
    await office.record([graft(58, '2027-04-02')])
    const { status, page } = await preview(ids.block, text('row,to\n1,57\n2,40\n'))
    expect(status).toBe(422)
    expect(plainText(page)).toContain('grafts are recorded up to position 58')
    expect(page).not.toContain('/import/confirm')
    const response = await office.post(`/blocks/${ids.block}/import/confirm`, {
      csv: Buffer.from('row,to\n1,57\n2,40\n').toString('base64'),
      rowsNumberedFrom: 'first',
    })
    expect(response.status).toBe(422)
  })

  it('may list the block’s last row first', async () => {
    const blockId = await newBlock('Backward terrace')
    const { page } = await preview(blockId, text('row,to\n9,10\n8,10\n'), 'last')
    await confirm(blockId, page)
    expect((await rowsOf(blockId)).map((row) => row.label)).toEqual(['8', '9'])
  })
})

it('the rows go out as a file that reads back to the same rows', async () => {
  const response = await office.app.request(`/blocks/${ids.block}/rows.csv`)
  expect(response.headers.get('content-type')).toContain('text/csv')
  expect(response.headers.get('content-disposition')).toContain('rows.csv')
  const bytes = new Uint8Array(await response.arrayBuffer())
  const copy = await newBlock('Copied bank')
  const { status, page } = await preview(copy, { name: 'rows.csv', bytes })
  expect(status).toBe(200)
  await confirm(copy, page)
  const plain = (rows: RowNow[]) =>
    rows.map(({ label, position_count, missing, sections }) => ({
      label,
      position_count,
      missing,
      sections,
    }))
  expect(plain(await rowsOf(copy))).toEqual(plain(await rowsOf(ids.block)))
})
