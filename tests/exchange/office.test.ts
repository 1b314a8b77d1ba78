// The office can take a document in and take documents away.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { deviceApp } from '../sync/device-app.ts'
import type { DeviceApp } from '../sync/device-app.ts'
import { idOf } from '../sim/season.ts'
import { nurseryDraft } from './nursery.ts'
import { schemaProblem } from './outside-checks.ts'

let api: DeviceApp
beforeAll(async () => {
  api = await deviceApp()
  await api.record([nurseryDraft])
}, 60_000)
afterAll(() => api.drop())

it('takes the journal away as a document that the schema of the standard takes', async () => {
  const page = await (await api.app.request('/exchange')).text()
  expect(page).toContain('/exchange/span/0')
  const answer = await api.app.request('/exchange/span/0')
  expect(answer.headers.get('content-disposition')).toContain('entries-0.jsonld')
  expect(schemaProblem(await answer.json())).toBeNull()
})

it('says at the form why a document is not taken in, and keeps what was typed', async () => {
  const fields = { supplierId: idOf('none'), placeId: idOf('none'), document: '{"type": "x' }
  const answer = await api.post('/exchange', fields)
  expect(answer.status).toBe(422)
  const page = await answer.text()
  expect(page).toContain('this is not JSON')
  expect(page).toContain('{&quot;type&quot;: &quot;x')
})
