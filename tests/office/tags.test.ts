// Tags at the desk: printed, read back from the PDF, bound, replaced, spoiled, and never doubled.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { formatTagCode, makeTagCode } from '#trade/tag-code.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

let office: OfficeApp
const lotId = idOf('tag lot')

beforeAll(async () => {
  office = await officeApp()
  const bundle = (nr: number) => ({
    bundleId: idOf(`tag bundle ${nr}`),
    unit: 'stick' as const,
    count: 100,
  })
  await office.record([
    {
      kind: 'lot.cut',
      body: {
        ...{ lotId, reference: '27-001', material: 'scion wood', varietyId: idOf('v') },
        ...{ clone: '4', scheme: null, class: 'certified', harvestYear: 2026, budsPerStick: 6 },
        ...{ sourceId: idOf('s'), sticks: 300, bundles: [1, 2, 3].map(bundle), note: '' },
        to: { kind: 'place', id: idOf('room') },
      },
    },
  ])
})
afterAll(() => office.drop())

const pageOf = async (path: string) => {
  const response = await office.app.request(path)
  expect(response.status).toBe(200)
  return response.text()
}
const codes = async () =>
  (
    await office.database.app.db
      .selectFrom('tag_print')
      .select('code')
      .distinct()
      .orderBy('code')
      .execute()
  ).map((row) => row.code)
const entryCount = async () =>
  (await office.database.app.db.selectFrom('entry').select('id').execute()).length
const roll = { form: 'Roll 100 × 25 mm' }

it('a roll of unbound tags is recorded code by code, and its PDF has a page for each', async () => {
  const response = await office.post('/tags/roll', { ...roll, count: '12' })
  expect(response.status).toBe(303)
  const path = (response.headers.get('location') ?? '').replace(/\?.*/, '')
  expect(await pageOf(path)).toContain(formatTagCode((await codes())[0] ?? ''))
  expect(await codes()).toHaveLength(12)
  const pdf = Buffer.from(await (await office.app.request(`${path}/labels.pdf`)).arrayBuffer())
  expect(pdf.subarray(0, 5).toString()).toBe('%PDF-')
  expect(pdf.toString('latin1').match(/\/Type \/Page\b/g)).toHaveLength(12)
})

it.each([
  ['0', 'count'],
  ['12,5', 'count'],
  ['3000', 'count'],
  ['many', 'count'],
])('“%s” tags are refused at the field and nothing is written', async (count, field) => {
  const before = await entryCount()
  const response = await office.post('/tags/roll', { ...roll, count })
  expect(response.status).toBe(422)
  expect(await response.text()).toContain(`id="error-${field}"`)
  expect(await entryCount()).toBe(before)
})

it('tags of a lot are made, bound to its bundles and printed in one go', async () => {
  const things = [1, 2, 3].map((nr) => idOf(`tag bundle ${nr}`))
  const fields = { ...roll, things, payload: 'field tag' }
  const response = await office.post(`/tags/lot/${lotId}`, fields)
  expect(response.status).toBe(303)
  const page = await pageOf(response.headers.get('location') ?? '')
  expect(page).toContain('27-001, bundle 3')
  const again = await office.post(`/tags/lot/${lotId}`, { ...fields, payload: 'leaving label' })
  const leaving = await pageOf(again.headers.get('location') ?? '')
  expect(leaving).toContain('Not filled in')
  const bound = await office.database.app.db
    .selectFrom('tag_now')
    .select('thing_id')
    .where('thing_id', 'in', things)
    .execute()
  expect(bound).toHaveLength(3)
})

describe('a tag of the roll', () => {
  const free = async () => {
    const bound = await office.database.app.db.selectFrom('tag_now').select('code').execute()
    const ended = await office.database.app.db.selectFrom('tag_end').select('code').execute()
    const used = new Set([...bound, ...ended].map((row) => row.code))
    return (await codes()).filter((code) => !used.has(code))
  }

  it('is bound once, and the second thing is refused with the first one’s name', async () => {
    const [code = ''] = await free()
    const done = await office.post('/tags/bind', { code: code.toLowerCase(), thing: lotId })
    expect(done.status).toBe(303)
    const before = await entryCount()
    const refused = await office.post('/tags/bind', { code, thing: lotId })
    expect(refused.status).toBe(422)
    expect(await refused.text()).toContain('is on lot 27-001 already')
    expect(await entryCount()).toBe(before)
  })

  it('gives way to another, and both pages say so', async () => {
    const bound = await office.database.app.db
      .selectFrom('tag_now')
      .select('code')
      .where('thing_id', '=', lotId)
      .executeTakeFirstOrThrow()
    const [newCode = ''] = await free()
    const path = `/tags/codes/${bound.code}`
    const fields = { newCode, replaceReason: 'torn' }
    expect((await office.post(`${path}/replace`, fields)).status).toBe(303)
    expect(await pageOf(path)).toContain(formatTagCode(newCode))
    expect(await pageOf(`/tags/codes/${newCode}`)).toContain('lot 27-001')
    const again = await office.post(`${path}/replace`, fields)
    expect(again.status).toBe(422)
  })

  it('is never used again once it is spoiled', async () => {
    const [code = ''] = await free()
    const path = `/tags/codes/${code}`
    expect((await office.post(`${path}/spoil`, { spoilReason: 'wet' })).status).toBe(303)
    const refused = await office.post('/tags/bind', { code, thing: idOf('tag bundle 1') })
    expect(await refused.text()).toContain('never used again')
  })

  it('prints again only with a reason, and is marked as a reprint', async () => {
    const [code = ''] = await free()
    const path = `/tags/codes/${code}/reprint`
    expect((await office.post(path, { reprintReason: '' })).status).toBe(422)
    const done = await office.post(path, { reprintReason: 'the first one smeared' })
    expect(await pageOf(done.headers.get('location') ?? '')).toContain('<td class="number">2</td>')
  })
})

it('a code with one character wrong, or of another nursery, is told apart', async () => {
  const [code = ''] = await codes()
  const slip = `${code.slice(0, 5)}${code[5] === 'A' ? 'B' : 'A'}${code.slice(6)}`
  const wrong = await office.post('/tags/bind', { code: slip, thing: lotId })
  expect(await wrong.text()).toContain('last character does not fit')
  const other = makeTagCode((size) => new Uint8Array(size).fill(7))
  const foreign = await office.post('/tags/bind', { code: other, thing: lotId })
  expect(await foreign.text()).toContain('was not printed here')
})

it('a label form of one’s own is kept when it fits the page, and refused when not', async () => {
  const own = { name: 'Our strip', shape: 'roll', labelWidthMm: '120', labelHeightMm: '22,5' }
  expect((await office.post('/tags/forms', own)).status).toBe(303)
  expect(await pageOf('/tags/roll')).toContain('Our strip')
  const taken = await office.post('/tags/forms', own)
  expect(await taken.text()).toContain('another name')
  const sheet = { pageWidthMm: '210', pageHeightMm: '297', marginLeftMm: '5', marginTopMm: '5' }
  const wide = { columns: '4', rows: '8', labelWidthMm: '70', labelHeightMm: '30' }
  const refused = await office.post('/tags/forms', {
    ...{ name: 'Too wide', shape: 'sheet' },
    ...sheet,
    ...wide,
  })
  expect(refused.status).toBe(422)
  expect(await refused.text()).toContain('id="error-columns"')
})
