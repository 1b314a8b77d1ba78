// What a device may rely on when it pushes entries: each exactly once, and nothing ever lost.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { BATCH_LIMIT } from '#wire/api-entries.ts'
import { blockEntry, deviceApp } from './device-app.ts'
import type { Device, DeviceApp } from './device-app.ts'

let api: DeviceApp
beforeAll(async () => {
  api = await deviceApp(new Date('2027-02-03T09:00:00Z'))
})
afterAll(() => api.drop())

const block = (device: Device = api.device) => blockEntry(device)

const journalCount = async () => {
  const rows = await api.services.db.selectFrom('entry').select('id').execute()
  return rows.length
}

describe('a batch of entries', () => {
  it('is recorded in its order, with gapless indexes', async () => {
    const entries = [block(), block(), block()]
    const before = await journalCount()
    const { results, findings, settled } = await api.push(entries)
    expect(results).toEqual(
      entries.map(({ id }, nr) => ({ id, result: 'recorded', journalIndex: before + nr })),
    )
    expect({ findings, settled }).toEqual({ findings: [], settled: true })
  })

  it('sent again changes nothing and says so (invariant 2)', async () => {
    const entries = [block(), block()]
    await api.push(entries)
    const before = await journalCount()
    const { results } = await api.push(entries)
    expect(results).toEqual(entries.map(({ id }) => ({ id, result: 'already recorded' })))
    expect(await journalCount()).toBe(before)
  })

  it('the same entry with its members in another order is the same entry', async () => {
    const entry = block()
    await api.push([entry])
    const turned = Object.fromEntries(Object.entries(entry).reverse())
    expect((await api.push([turned])).results).toEqual([
      { id: entry.id, result: 'already recorded' },
    ])
  })

  it('holding one entry twice records it once', async () => {
    const entry = block()
    const { results } = await api.push([entry, entry])
    expect(results.map(({ result }) => result)).toEqual(['recorded', 'already recorded'])
  })

  it('an id that is taken by other content is set aside, and the first stays', async () => {
    const entry = block()
    await api.push([entry])
    const other = { ...entry, body: { ...entry.body, name: 'Short' } }
    const { results } = await api.push([other, block()])
    expect(results[0]).toMatchObject({
      id: entry.id,
      result: 'set aside',
      problem: { code: 'id_taken', path: 'id' },
    })
    expect(results[1]?.result).toBe('recorded')
    const kept = await api.services.db
      .selectFrom('set_aside')
      .select('raw')
      .where('claimed_entry_id', '=', entry.id)
      .execute()
    expect(kept.map(({ raw }) => JSON.parse(raw.toString('utf8')))).toEqual([other])
  })

  it('two entries of one id in one batch: the first counts, the second is set aside', async () => {
    const entry = block()
    const { results } = await api.push([entry, { ...entry, deviceCounter: 9 }])
    expect(results.map(({ result }) => result)).toEqual(['recorded', 'set aside'])
  })

  it('five identical batches at the same time record each entry once', async () => {
    const entries = Array.from({ length: 40 }, () => block())
    const before = await journalCount()
    const answers = await Promise.all([1, 2, 3, 4, 5].map(() => api.push(entries)))
    expect(await journalCount()).toBe(before + entries.length)
    entries.forEach(({ id }, nr) => {
      const told = answers.map(({ results }) => results[nr])
      expect(told.filter((result) => result?.result === 'recorded')).toHaveLength(1)
      expect(told.filter((result) => result?.result === 'already recorded')).toHaveLength(4)
      expect(told.every((result) => result?.id === id)).toBe(true)
    })
  })

  it('five thousand entries in several batches all arrive', async () => {
    const entries = Array.from({ length: 5000 }, () => block())
    const before = await journalCount()
    for (let at = 0; at < entries.length; at += BATCH_LIMIT) {
      const { results } = await api.push(entries.slice(at, at + BATCH_LIMIT))
      expect(results.every(({ result }) => result === 'recorded')).toBe(true)
    }
    expect(await journalCount()).toBe(before + entries.length)
  })
})

it('a batch within its limits is taken, however much it states', async () => {
  const codes = Array.from({ length: 2000 }, (_, nr) => `${10_000_000_000 + nr}`)
  // Three bytes a character, on each of 2,000 lines: more than one value of Postgres can hold.
  const reprintReason = '語'.repeat(1000)
  const printed = () => {
    const entry = block()
    const body = { printId: entry.body.blockId, payload: 'field tag', form: 'Flag', codes }
    return { ...entry, kind: 'tag.printed', body: { ...body, reprintReason } }
  }
  const { results } = await api.push(Array.from({ length: 48 }, printed))
  expect(results.every(({ result }) => result === 'recorded')).toBe(true)
})

describe('who may push', () => {
  it.each<[string, () => Promise<Response>]>([
    ['without a token', () => api.send({ entries: [] }, { by: null })],
    [
      'with a token that nobody was given',
      () => api.send({ entries: [] }, { by: { deviceId: '', token: 'x'.repeat(43) } }),
    ],
    [
      'with a token too short to be one',
      () => api.send({ entries: [] }, { by: { deviceId: '', token: 'x' } }),
    ],
    [
      'with another scheme',
      () =>
        api.send(
          { entries: [] },
          { by: null, headers: { authorization: `Basic ${api.device.token}` } },
        ),
    ],
  ])('%s the answer is 401 with what to do', async (_, send) => {
    const response = await send()
    expect(response.status).toBe(401)
    expect(response.headers.get('www-authenticate')).toBe('Bearer realm="canemark"')
    expect(await response.json()).toMatchObject({
      code: 'unknown_device',
      detail: expect.stringContaining('have the office enrol the device'),
    })
  })

  it('a person signed in to the office cannot push as a device', async () => {
    const response = await api.send({ entries: [block()] }, { by: null })
    expect(response.status).toBe(401)
  })

  it('what a revoked device sends is held for the office, and it may read no more', async () => {
    const lost = await api.enrol()
    await api.push([block(lost)], lost)
    await api.services.db
      .updateTable('device')
      .set({ revoked_at: new Date('2027-02-03T08:00:00Z') })
      .where('device_id', '=', lost.deviceId)
      .execute()
    const before = await journalCount()
    const { results } = await api.push([block(lost)], lost)
    expect(results).toMatchObject([{ result: 'set aside', problem: { code: 'revoked_device' } }])
    expect(await journalCount()).toBe(before)
    expect((await api.get('/api/journal', lost)).status).toBe(401)
  })

  it('the token itself is nowhere in the database', async () => {
    const row = await api.services.db
      .selectFrom('device')
      .selectAll()
      .where('device_id', '=', api.device.deviceId)
      .executeTakeFirstOrThrow()
    expect(JSON.stringify(row)).not.toContain(api.device.token)
  })
})
