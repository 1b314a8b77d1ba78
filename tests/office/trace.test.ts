// The trace pages lead from a vine to its sources and from a source to its vines, in words.
import { parse } from 'csv-parse/sync'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

let office: OfficeApp
const room = { kind: 'place' as const, id: idOf('room') }
const identity = {
  material: 'scion wood' as const,
  varietyId: idOf('variety'),
  clone: '4',
  scheme: null,
  class: 'certified',
  harvestYear: 2026,
  budsPerStick: 5,
}

beforeAll(async () => {
  office = await officeApp()
  const cut = (nr: number, sourceId: string) => ({
    kind: 'lot.cut' as const,
    body: {
      lotId: idOf(`lot ${nr}`),
      reference: `27-00${nr}`,
      ...identity,
      sourceId,
      sticks: 100,
      bundles: [],
      to: room,
      note: '',
    },
  })
  const parent = (nr: number, count: number) => ({
    lotId: idOf(`lot ${nr}`),
    bundleId: null,
    unit: 'stick' as const,
    count,
    budEquivalents: count * 5,
    from: room,
  })
  const source = (name: string) => ({
    kind: 'source.registered' as const,
    body: {
      sourceId: idOf(name),
      level: 'block' as const,
      parentSourceId: null,
      name,
      registryNumber: null,
      varietyId: idOf('variety'),
      clone: '4',
      scheme: null,
      class: 'certified',
      plantedYear: 2012,
      originLotId: null,
      vine: null,
      note: '',
    },
  })
  const code = '0000000001C'
  await office.record([
    {
      kind: 'variety.registered',
      body: { varietyId: idOf('variety'), name: 'Ruvello', synonyms: [], use: 'scion' },
    },
    source('Top terrace'),
    source('=HYPERLINK("x") <b>bold</b>'),
    cut(1, idOf('Top terrace')),
    cut(2, idOf('=HYPERLINK("x") <b>bold</b>')),
    {
      kind: 'lot.combined',
      body: {
        lotId: idOf('lot 3'),
        reference: '27-003',
        ...identity,
        parents: [parent(1, 60), parent(2, 20)],
        bundles: [],
        to: room,
        reason: 'one wagon load',
      },
    },
    { kind: 'tag.bound', body: { code, thing: { kind: 'lot', id: idOf('lot 3') } } },
    { kind: 'block.registered', body: { blockId: idOf('block'), name: 'Upper', note: '' } },
    {
      kind: 'row.laid_out',
      body: {
        rowId: idOf('row 12'),
        blockId: idOf('block'),
        label: '12',
        sequence: 12,
        positionCount: 60,
        headAt: null,
        missing: [],
        sections: [],
      },
    },
    {
      kind: 'graft.made',
      body: {
        vine: { rowId: idOf('row 12'), position: 34 },
        lotId: idOf('lot 3'),
        bundleId: null,
        from: room,
        method: 'chip bud',
        budCount: 2,
        knifeId: null,
        tie: null,
        note: '',
      },
    },
  ])
})
afterAll(() => office.drop())

const textOf = async (path: string) => {
  const response = await office.app.request(path)
  expect(response.status).toBe(200)
  return response.text()
}

it('a vine leads back to both sources of a combined lot, with exact shares', async () => {
  const page = await textOf(`/trace/back/vine/${idOf('row 12')}/34`)
  expect(page).toContain('Back from Upper, row 12, vine 34')
  expect(page).toContain('Top terrace')
  expect(page).toContain('75 %')
  expect(page).toContain('3/4')
  expect(page).toContain('1/4')
  expect(page).not.toContain('<b>bold</b>')
  expect(page).toContain('<svg')
})

it('a source leads forward to its vine, on the page and in the file', async () => {
  const id = idOf('Top terrace')
  const page = await textOf(`/trace/forward/source/${id}`)
  expect(page).toContain('1 vine in 1 row,')
  const text = await textOf(`/trace/forward/source/${id}/vines.csv`)
  const [line] = parse(text, { bom: true, columns: true })
  expect(line).toMatchObject({ block: 'Upper', row: '12', position: '34', part: 'graft' })
})

it('a name that a spreadsheet would run as a formula is quoted in the file', async () => {
  const text = await textOf(`/trace/back/lot/${idOf('lot 3')}/origins.csv`)
  const names = parse(text, { bom: true, columns: true }).map((line) => Object(line).source)
  expect(names.sort()).toEqual(['\'=HYPERLINK("x") <b>bold</b>', 'Top terrace'])
})

it.each([
  ['27-003', 'lot'],
  ['Top terr', 'source'],
  ['Upper 12/34', 'vine'],
  ['12 34', 'vine'],
  ['row 12, vine 34', 'vine'],
])('“%s” finds a %s', async (typed, kind) => {
  const page = await textOf(`/trace?q=${encodeURIComponent(typed)}`)
  expect(page).toContain(`<td>${kind}</td>`)
})

it('what does not exist is said in words, with status 404', async () => {
  const paths = [
    `/trace/back/vine/${idOf('row 12')}/61`,
    `/trace/back/lot/${idOf('no lot')}`,
    `/trace/forward/bath/${idOf('no bath')}`,
  ]
  for (const path of paths) {
    const response = await office.app.request(path)
    expect(response.status).toBe(404)
    expect(await response.text()).toContain('Not possible')
  }
})
