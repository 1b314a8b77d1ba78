// The page for technical purity: 4.0 % passes, 4.1 % does not, and dried wood stays defective.
// Limit: RebPflV 1986 Anlage 2 §1.2; French arrêté on vine propagating material, annex.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

let office: OfficeApp
const path = `/lots/${idOf('purity lot')}/purity`

beforeAll(async () => {
  office = await officeApp()
  await office.record([
    {
      kind: 'lot.cut',
      body: {
        ...{ lotId: idOf('purity lot'), reference: '27-001', material: 'scion wood' },
        ...{ varietyId: idOf('v'), clone: null, scheme: null, class: null, harvestYear: 2026 },
        ...{ budsPerStick: 5, sourceId: idOf('s'), sticks: 1000, bundles: [], note: '' },
        to: { kind: 'place', id: idOf('room') },
      },
    },
  ])
})
afterAll(() => office.drop())

it.each([
  ['pieces=1000&rotted=20&dried_then_soaked=20', 200, 'Within the limit'],
  ['pieces=1000&rotted=20&dried_then_soaked=21', 200, 'Over the limit'],
  ['pieces=1000&rotted=20&dried_then_soaked=21', 200, '4.1 %'],
  ['pieces=10&broken=11', 422, 'count a piece with two of them once'],
  ['pieces=12,5', 422, 'must be a whole number'],
])('%s: %i, “%s”', async (query, status, words) => {
  const response = await office.app.request(`${path}?${query}`)
  expect(response.status).toBe(status)
  expect(await response.text()).toContain(words)
})

it('the lot’s page leads to it and to printing its tags', async () => {
  const page = await (await office.app.request(path.replace('/purity', ''))).text()
  expect(page).toContain(`href="${path}"`)
  expect(page).toContain(`href="/tags/lot/${idOf('purity lot')}"`)
})
