// Clocks jump: the server's and a phone's. Nothing is lost or recorded twice, and it is told.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { verify } from '../../api/journal/verify.ts'
import { DeviceClient } from '../people/device-client.ts'
import { codeOf, deviceOffice } from '../people/device-office.ts'
import type { DeviceOffice } from '../people/device-office.ts'

const start = Date.parse('2027-04-05T08:00:00Z')
const hourMs = 3_600_000
/** The server's clock is this very moment; a test moves it. */
const clock = new Date(start)
const jumps = [2, -30, 24 * 400, -24 * 900, 0.2]
let office: DeviceOffice

beforeAll(async () => {
  office = await deviceOffice(clock)
})
afterAll(() => office.drop())

describe('the server’s clock jumps', () => {
  it('ahead and back by years, and every batch is still recorded, once and in order', async () => {
    const phone = await office.enrolled()
    const before = await office.journalCount()
    const ids: string[] = []
    for (const hours of jumps) {
      clock.setTime(start + hours * hourMs)
      const entries = [await phone.block(), await phone.block()]
      const answer = await phone.push(entries)
      expect(answer.results.map(({ result }) => result)).toEqual(['recorded', 'recorded'])
      expect((await phone.push(entries)).results.map(({ result }) => result)).toEqual([
        'already recorded',
        'already recorded',
      ])
      ids.push(...entries.map(({ id }) => id))
    }
    clock.setTime(start)
    expect(await office.journalCount()).toBe(before + ids.length)
    const rows = await office.services.db
      .selectFrom('entry')
      .select(['id', 'journal_index'])
      .where('device_id', '=', phone.deviceId)
      .orderBy('journal_index')
      .execute()
    expect(rows.map(({ id }) => id)).toEqual(ids)
    expect(await verify(office.services.db)).toHaveProperty('verified')
    console.log(`${jumps.length} jumps of the server's clock: ${ids.length} entries, 0 lost`)
  })

  it('and a request signed with the right time is refused, with the server’s time', async () => {
    const phone = await office.enrolled()
    clock.setTime(start + 3 * hourMs)
    const refused = await phone.get('/api/device', new Date(start))
    expect(refused.status).toBe(401)
    const problem = (await refused.clone().json()) as { detail: string }
    expect(await codeOf(refused)).toBe('clock_differs')
    const serverTime = /which is (\S+);/.exec(problem.detail)?.[1] ?? ''
    expect((await phone.get('/api/device', new Date(serverTime))).status).toBe(200)
    clock.setTime(start)
    expect((await phone.get('/api/device', new Date(start))).status).toBe(200)
  })

  it('and a code for enrolment that had run out stays shut while the clock is ahead', async () => {
    const { code } = await office.code()
    clock.setTime(start + hourMs)
    const phone = await DeviceClient.make(office.app)
    expect((await phone.enrol(code)).status).toBeGreaterThanOrEqual(400)
    clock.setTime(start)
  })
})

describe('a phone’s clock jumps', () => {
  it('ahead and back by years: entries are kept as they say, and the office is told', async () => {
    const phone = await office.enrolled()
    const said = ['2031-01-01T00:00:00Z', '1991-06-01T12:00:00Z', '2027-04-05T07:59:00+02:00']
    const entries = []
    for (const occurredAt of said) entries.push(await phone.block({ occurredAt }))
    const answer = await phone.push(entries)
    expect(answer.results.map(({ result }) => result)).toEqual(said.map(() => 'recorded'))
    const codes = new Set(answer.findings.map((finding: { code: string }) => finding.code))
    expect([...codes]).toContain('clock_ahead')
    const rows = await office.services.db
      .selectFrom('entry')
      .select(['occurred_at', 'device_counter'])
      .where('device_id', '=', phone.deviceId)
      .orderBy('device_counter')
      .execute()
    expect(rows.map((row) => row.occurred_at.toISOString())).toEqual(
      said.map((when) => new Date(when).toISOString()),
    )
  })
})
