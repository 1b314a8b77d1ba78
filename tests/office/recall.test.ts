// The recall pages show what an agent may have reached, place holds once, and draft notices.
import { parse } from 'csv-parse/sync'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { RecallScene } from '../trace/recall-scene.ts'
import { bodiesOf, pageAt } from './form-answers.ts'

let office: OfficeApp
const scene = new RecallScene('pages')
const query = new URLSearchParams({
  on: `source ${scene.id('bad')}`,
  agent: 'GLRaV-3',
  found: '2027-05-01',
}).toString()

beforeAll(async () => {
  office = await officeApp()
  scene.writer.add('block.registered', { blockId: scene.id('block'), name: 'Upper', note: '' })
  scene.writer.add('party.registered', {
    partyId: scene.id('authority'),
    name: 'Plant Health Office',
    role: 'authority',
    registrationNumber: null,
    note: '',
  })
  scene.row()
  scene.source('bad')
  scene.source('good')
  scene.cut('27-B1', 'bad')
  scene.cut('27-G1', 'good')
  scene.graft('27-B1', 3)
  scene.graft('27-B1', 4)
  scene.graft('27-G1', 5)
  scene.test('bad', '2027-05-01', 'detected', 'GLRaV-3')
  await scene.record(office.services.db)
})
afterAll(() => office.drop())

it('a test that found something leads to its recall', async () => {
  const begin = await pageAt(office, '/trace/recall')
  expect(begin).toContain('GLRaV-3')
  expect(begin).toContain(`/trace/recall/of?${query.replaceAll('&', '&amp;')}`)
  const page = await pageAt(office, `/trace/recall/of?${query}`)
  expect(page).toContain('27-B1')
  expect(page).not.toContain('27-G1')
  expect(page).toContain('3–4')
  expect(page).toContain('no earlier clean test is recorded')
  expect(page).toMatch(/<svg[^>]+class="recall-map"/)
})

it('the file names every vine that is reached, and no other', async () => {
  const response = await office.app.request(`/trace/recall/vines.csv?${query}`)
  const rows = parse(await response.text(), { columns: true, bom: true }) as {
    position: string
    by: string
  }[]
  expect(rows.map(({ position, by }) => [position, by])).toEqual([
    ['3', 'buds'],
    ['4', 'buds'],
  ])
})

it('holds are placed on the source and its lot, once, and need a reason', async () => {
  const path = `/trace/recall/holds?${query}`
  expect((await office.post(path, { reason: '' })).status).toBe(422)
  expect(await bodiesOf(office, 'hold.placed')).toEqual([])
  expect((await office.post(path, { reason: 'leafroll found' })).status).toBe(303)
  const on = (await bodiesOf(office, 'hold.placed')).map((body) => body.on)
  expect(on).toEqual([
    { kind: 'source', id: scene.id('bad') },
    { kind: 'lot', id: scene.id('27-B1') },
  ])
  expect((await office.post(path, { reason: 'leafroll found' })).status).toBe(303)
  expect(await bodiesOf(office, 'hold.placed')).toHaveLength(2)
  const page = await pageAt(office, `/trace/recall/of?${query}`)
  expect(page).toContain('A hold stands on every source')
})

it('a notice is drafted for the authority, with what the records cannot tell', async () => {
  const page = await pageAt(office, `/trace/recall/notices?${query}`)
  expect(page).toContain('To: Plant Health Office')
  expect(page).toContain('1 lot and 2 vines in 1 row')
  expect(page).toContain('no earlier clean test is recorded')
})

it.each([
  ['on=lot&agent=x&found=2027-05-01', 422, 'say where the agent was found'],
  [`on=source ${scene.id('bad')}&agent=&found=2027-05-01`, 422, 'which health agent'],
  [`on=source ${scene.id('bad')}&agent=x&found=yesterday`, 422, 'on which day'],
  [`on=vine ${scene.id('row')} 99999&agent=x&found=2027-05-01`, 422, 'where the agent was found'],
  [`on=lot ${scene.id('none')}&agent=x&found=2027-05-01`, 404, 'no entry tells of this lot'],
])('%s is refused in words', async (asked, status, says) => {
  const response = await office.app.request(`/trace/recall/of?${encodeURI(asked)}`)
  expect(response.status).toBe(status)
  expect(await response.text()).toContain(says)
})

it('a lot is shown as stopped by a hold on its source, and may get one of its own', async () => {
  const held = new RecallScene('held source')
  const source = held.source('old bench')
  held.cut('27-H1', 'old bench')
  const hold = (agent: string) => ({
    holdId: held.id(`hold ${agent}`),
    on: { kind: 'source' as const, id: source },
    agent,
    reason: 'found',
  })
  held.writer.add('hold.placed', hold('GLRaV-3'))
  await held.record(office.services.db)
  const asked = (agent: string) => {
    const wanted = { on: `source ${source}`, agent, found: '2027-05-01' }
    return `/trace/recall/of?${new URLSearchParams(wanted).toString()}`
  }
  const same = await pageAt(office, asked('GLRaV-3'))
  expect(same).toContain('on hold through source old bench')
  expect(same).toContain('1 lot with wood left is stopped')
  expect(same).toContain('Place 1 hold<')
  const other = await pageAt(office, asked('GFLV'))
  expect(other).not.toContain('on hold')
  expect(other).toContain('Nothing stops the use of 2 sources and lots yet')
})
