// Today’s page leads a new nursery through its first steps; the lookup page needs no sign-in.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { makeTagCode } from '#trade/tag-code.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

let office: OfficeApp
const code = makeTagCode((size) => new Uint8Array(size).fill(5))
const now = new Date('2027-06-20T08:00:00Z')

beforeAll(async () => {
  office = await officeApp(now)
})
afterAll(() => office.drop())

const pageOf = async (path: string) => (await office.app.request(path)).text()

it('an empty nursery sees the first steps in order', async () => {
  const page = await pageOf('/today')
  const at = ['Describe the nursery', 'Enter the varieties', 'Cut or receive'].map((step) =>
    page.indexOf(step),
  )
  expect(at.every((position) => position > 0)).toBe(true)
  expect(at).toEqual([...at].sort((a, b) => a - b))
})

it('a planned row shows how far it has come, and an old graft asks to be counted', async () => {
  await office.record([
    {
      kind: 'variety.registered',
      body: { varietyId: idOf('v'), name: 'Ostrel', synonyms: [], use: 'scion' },
    },
    { kind: 'block.registered', body: { blockId: idOf('b'), name: 'Hill', note: '' } },
    {
      kind: 'row.laid_out',
      body: {
        ...{ rowId: idOf('r'), blockId: idOf('b'), label: '7', sequence: 7, positionCount: 50 },
        ...{ headAt: null, missing: [3, 4], sections: [] },
      },
    },
    {
      kind: 'row.planned',
      body: {
        ...{ rowId: idOf('r'), fromPosition: 1, toPosition: 50, season: 2027 },
        ...{ varietyId: idOf('v'), clone: '7', class: null, method: null, budsPerVine: 2 },
      },
    },
    ...[1, 2].map((position) => ({
      kind: 'graft.made' as const,
      occurredAt: new Date(position === 1 ? '2027-04-10T09:00:00Z' : '2027-06-18T09:00:00Z'),
      body: {
        ...{ vine: { rowId: idOf('r'), position }, lotId: idOf('l'), bundleId: null },
        from: { kind: 'unknown' as const, id: idOf('x') },
        ...{ method: 'chip bud', budCount: 2, knifeId: null, tie: null, note: '' },
      },
    })),
  ])
  const page = await pageOf('/today')
  expect(page).toContain('<td>Ostrel</td>')
  expect(page).toContain('<td class="number">48</td><td class="number">2</td>')
  expect(page).toContain('Take to count')
  expect(page).toMatch(/>7<\/a><\/td><td class="number">1<\/td><td>2027-04-10/)
})

it('a phone without a sign-in sees what the label says, and nothing more', async () => {
  await office.record([
    {
      kind: 'tag.printed',
      body: {
        ...{ printId: idOf('p'), payload: 'leaving label', form: 'x', codes: [code] },
        reprintReason: null,
      },
    },
    {
      kind: 'lot.cut',
      body: {
        ...{ lotId: idOf('l'), reference: '27-044', material: 'scion wood', clone: '7' },
        ...{ varietyId: idOf('v'), scheme: null, class: 'base', harvestYear: 2026 },
        ...{ budsPerStick: 5, sourceId: idOf('s'), sticks: 10, bundles: [], note: 'a secret' },
        to: { kind: 'place', id: idOf('room') },
      },
    },
    { kind: 'tag.bound', body: { code, thing: { kind: 'lot', id: idOf('l') } } },
  ])
  const open = newApp(office.services, async () => null)
  for (const path of [`/T/${code}`, `/t/${code.toLowerCase()}`]) {
    const response = await open.request(path)
    expect(response.status).toBe(200)
    const page = await response.text()
    expect(page).toContain('27-044')
    expect(page).toContain('Ostrel')
    expect(page).not.toContain('a secret')
  }
  expect((await open.request('/T/NOTACODE')).status).toBe(404)
  expect((await open.request('/lots')).status).toBe(303)
})
