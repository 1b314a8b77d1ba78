// The journal pages show every entry for ever, withdrawn ones and unreadable ones included.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

let office: OfficeApp
let entryId = ''

beforeAll(async () => {
  office = await officeApp()
  const body = { blockId: idOf('block'), name: 'Lower <block>', note: '' }
  ;[entryId = ''] = await office.record([{ kind: 'block.registered', body }])
})
afterAll(() => office.drop())

const pageOf = async (path: string) => (await office.app.request(path)).text()
const entryCount = async () =>
  (await office.database.app.db.selectFrom('entry').select('id').execute()).length

it('the list and the entry’s page show who, when and what', async () => {
  expect(await pageOf('/journal')).toContain('block.registered')
  const page = await pageOf(`/journal/${entryId}`)
  expect(page).toContain('Tessa Arden')
  expect(page).toContain('Lower &lt;block&gt;')
  expect(page).toContain('Leaf hash')
})

it('a withdrawal without a reason is refused at the field and writes nothing', async () => {
  const before = await entryCount()
  const response = await office.post(`/journal/${entryId}/withdraw`, { reason: '  ' })
  expect(response.status).toBe(422)
  expect(await response.text()).toContain('id="error-reason"')
  expect(await entryCount()).toBe(before)
})

it('a withdrawn entry is marked, keeps its page, and cannot be withdrawn twice', async () => {
  const reason = 'the wrong name'
  const response = await office.post(`/journal/${entryId}/withdraw`, { reason })
  expect(response.status).toBe(303)
  const page = await pageOf(`/journal/${entryId}`)
  expect(page).toContain('the wrong name')
  expect(page).toContain('Lower &lt;block&gt;')
  expect(await pageOf('/journal')).toContain('>withdrawn<')
  const again = await office.post(`/journal/${entryId}/withdraw`, { reason })
  expect(again.status).toBe(422)
  expect(await again.text()).toContain('withdrawn already')
})

it('what a device sent and nobody could read is shown until somebody deals with it', async () => {
  const value = { id: 'no id at all', hello: '<script>' }
  await ingest(office.database.app.db, office.services.deskDeviceId, [value])
  const page = await pageOf('/journal/aside')
  expect(page).toContain('&lt;script&gt;')
  const number = /action="\/journal\/aside\/(\d+)"/.exec(page)?.[1]
  const refused = await office.post(`/journal/aside/${number}`, { note: '' })
  expect(refused.status).toBe(422)
  const done = await office.post(`/journal/aside/${number}`, { note: 'typed in by hand' })
  expect(done.status).toBe(303)
  expect(await pageOf('/journal/aside')).toContain('typed in by hand')
})
