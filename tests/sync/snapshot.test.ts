// Who may fetch a snapshot, what is in it of people, and that it is sent small.
import { gunzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { addPersonWithRole } from '../../api/people/people.ts'
import { Snapshot, SnapshotBlock } from '#wire/api-snapshot.ts'
import { SmallSeason } from '../lots/small-season.ts'
import { deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

const season = new SmallSeason('snapshot', '2027-03-01T08:00:00Z')
const id = (name: string) => season.id(name)
let api: DeviceApp

beforeAll(async () => {
  api = await deviceApp(new Date('2027-04-01T08:00:00Z'))
  const person = { name: 'Orla Fenwick', role: 'crew', signInName: 'orla-signs-in' } as const
  await addPersonWithRole(api.services.db, person)
  season.source('source')
  season.place('room')
  season.cut('lot', { bundles: [{ bundleId: id('bundle'), unit: 'stick', count: 40 }] })
  season.add('block.registered', { blockId: id('block'), name: 'Upper', note: '' })
  season.row('row', { positionCount: 4, missing: [4] })
  season.graft('lot', 2)
  await api.push(season.entries, await api.enrol(season.entries[0]?.device))
})
afterAll(() => api.drop())

const block = () => `/api/snapshot/blocks/${id('block')}`

describe('a snapshot', () => {
  it('is for devices alone: a person who may see the record is not given it', async () => {
    for (const path of ['/api/snapshot', block()]) {
      expect((await api.app.request(path)).status).toBe(401)
      expect((await newApp(api.services, async () => api.person).request(path)).status).toBe(401)
      expect((await api.get(path)).status).toBe(200)
    }
  })

  it('names people and nothing else of them', async () => {
    const text = await (await api.get('/api/snapshot')).text()
    const { setting } = Snapshot.parse(JSON.parse(text))
    expect(setting?.people.map((person) => Object.keys(person))).toContainEqual(['id', 'name'])
    expect(setting?.people.map(({ name }) => name)).toContain('Orla Fenwick')
    expect(text).not.toMatch(/orla-signs-in|argon2|password|token|signIn/i)
  })

  it('comes compressed to whoever can read that, and is the same then', async () => {
    const headers = { authorization: `Bearer ${api.device.token}`, 'accept-encoding': 'gzip' }
    const zipped = await api.app.request('/api/snapshot', { headers })
    expect(zipped.headers.get('content-encoding')).toBe('gzip')
    const text = gunzipSync(Buffer.from(await zipped.arrayBuffer())).toString('utf8')
    expect(JSON.parse(text)).toEqual(await (await api.get('/api/snapshot')).json())
  })

  it('tells a block’s rows vine by vine, and not those of a block that is not there', async () => {
    const { rows } = SnapshotBlock.parse(await (await api.get(block())).json())
    expect(rows).toMatchObject([{ rowId: id('row'), positionCount: 4 }])
    expect(rows[0]?.gone.map(([position]) => position)).toEqual([4])
    expect(rows[0]?.grafts).toMatchObject([
      [expect.any(String), 2, id('lot'), 2, expect.any(Number)],
    ])
    const nowhere = await api.get(`/api/snapshot/blocks/${id('nowhere')}`)
    expect([nowhere.status, await nowhere.json()]).toMatchObject([404, { code: 'unknown_block' }])
  })

  it('has a journal index and a time that are of one moment', async () => {
    const told = Snapshot.parse(await (await api.get('/api/snapshot')).json())
    expect(told.next).toBe(season.entries.length)
    expect(told.takenAt).toBe('2027-04-01T08:00:00.000Z')
  })
})
