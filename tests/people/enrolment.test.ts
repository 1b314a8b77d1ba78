// Bringing devices in: one code, one key, compared by the office; and machines with their tokens.
import { createHash } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { fingerprint } from '#wire/api-enrol.ts'
import type { DeviceStateShape } from '#wire/api-enrol.ts'
import type { EntryKind } from '#wire/entry.ts'
import { confirmDevice, makeMachine } from '../../api/people/devices.ts'
import { beginEnrolment, readEnrolment } from '../../api/people/enrolment.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { DeviceClient } from './device-client.ts'
import { codeOf, deviceOffice } from './device-office.ts'
import type { DeviceOffice } from './device-office.ts'

const now = new Date('2027-02-03T09:00:00Z')
const minutesLater = (minutes: number) => new Date(now.getTime() + minutes * 60_000)

let office: DeviceOffice
beforeAll(async () => {
  office = await deviceOffice(now)
})
afterAll(() => office.drop())
const db = () => office.services.db

describe('enrolment', () => {
  it('a key comes in by the code, waits, and counts once the office compared it', async () => {
    const phone = await DeviceClient.make(office.app)
    const { code: shown, enrolmentId } = await office.code('Phone 7')
    const typed = ` ${shown.slice(0, 4).toLowerCase()}-${shown.slice(4)} `
    const response = await phone.enrol(typed)
    expect(response.status).toBe(201)
    const state = (await response.json()) as DeviceStateShape
    expect(state).toMatchObject({ name: 'Phone 7', state: 'waiting', lastNumber: 0 })
    const digest = createHash('sha256').update(Buffer.from(phone.publicKey, 'base64url')).digest()
    expect(state.fingerprint).toBe(fingerprint(digest))
    expect(state.fingerprint).toMatch(/^([0-9A-HJKMNP-TV-Z]{4} ){4}[0-9A-HJKMNP-TV-Z]{4}$/)
    const entry = await phone.block()
    const early = await phone.send(await phone.batch([entry]))
    expect([early.status, await codeOf(early)]).toEqual([403, 'not_confirmed'])
    await confirmDevice(db(), office.desk, phone.deviceId)
    expect((await phone.push([entry])).results).toMatchObject([{ result: 'recorded' }])
    expect(await readEnrolment(db(), enrolmentId, now)).toMatchObject({ state: 'used' })
    const own = await phone.get('/api/device', now)
    expect(await own.json()).toMatchObject({ state: 'active', lastNumber: 2 })
  })

  it('a code is good for one key only, and for ten minutes only', async () => {
    const { code: shown } = await office.code()
    const [first, second, third] = await Promise.all([
      DeviceClient.make(office.app),
      DeviceClient.make(office.app),
      DeviceClient.make(office.app),
    ])
    const answers = await Promise.all([first.enrol(shown), second.enrol(shown)])
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 403])
    const { code: late } = await office.code('Late', minutesLater(-10))
    expect(await codeOf(await third.enrol(late))).toBe('wrong_code')
    const { code: inTime } = await office.code('In time', minutesLater(-9.9))
    expect((await third.enrol(inTime)).status).toBe(201)
  })

  it('a key cannot be brought in by somebody who does not hold it', async () => {
    const [owner, thief] = [
      await DeviceClient.make(office.app),
      await DeviceClient.make(office.app),
    ]
    const { code: shown } = await office.code()
    const body = JSON.stringify({ code: shown, publicKey: owner.publicKey })
    const response = await thief.send(await thief.signed('POST', '/api/enrol', body, 0))
    expect([response.status, await codeOf(response)]).toEqual([401, 'bad_signature'])
    expect((await owner.enrol(shown)).status).toBe(201)
  })

  it('what is no point of the curve is refused as a key', async () => {
    const phone = await DeviceClient.make(office.app)
    const raw = Buffer.from(phone.publicKey, 'base64url')
    raw[64] = (raw[64] ?? 0) ^ 1
    const { code: shown } = await office.code()
    const body = JSON.stringify({ code: shown, publicKey: raw.toString('base64url') })
    const response = await phone.send(await phone.signed('POST', '/api/enrol', body, 0))
    expect([response.status, await codeOf(response)]).toEqual([422, 'bad_key'])
  })

  it('guessed codes are counted, and void the codes that stand open', async () => {
    const own = await officeApp(now)
    try {
      const given = { deviceName: 'Target', madeBy: own.person.personId, now }
      const { enrolmentId, code: shown } = await beginEnrolment(own.services.db, given)
      const guess = await DeviceClient.make(own.app)
      const statuses: number[] = []
      for (let nr = 0; nr < 12; nr += 1) {
        statuses.push((await guess.enrol(`0000000${nr % 10}`)).status)
      }
      // Ten tries in ten minutes from one address; then nothing is looked up any more.
      expect(statuses).toEqual([...Array<number>(10).fill(403), 429, 429])
      const blocked = await guess.enrol(shown)
      expect(blocked.status).toBe(429)
      expect(Number(blocked.headers.get('retry-after'))).toBeGreaterThan(0)
      const open = await readEnrolment(own.services.db, enrolmentId, now)
      expect(open).toMatchObject({ state: 'open', wrongCodes: 10 })
      await own.services.db.updateTable('enrolment').set({ wrong_codes: 19 }).execute()
      const fresh = await officeAppAgain(own)
      const other = await DeviceClient.make(fresh)
      expect((await other.enrol('00000000')).status).toBe(403)
      expect(await codeOf(await other.enrol(shown))).toBe('wrong_code')
      const gone = await readEnrolment(own.services.db, enrolmentId, now)
      expect(gone).toMatchObject({ state: 'void', wrongCodes: 20 })
    } finally {
      await own.drop()
    }
  })

  it('neither the code nor anything that opens the door is in the database', async () => {
    const { code: shown, enrolmentId } = await office.code()
    const row = await db()
      .selectFrom('enrolment')
      .selectAll()
      .where('enrolment_id', '=', enrolmentId)
      .executeTakeFirstOrThrow()
    expect(JSON.stringify(row)).not.toContain(shown)
  })
})

/** The same database behind an app of its own, whose counts begin anew. */
async function officeAppAgain(own: OfficeApp) {
  const { newApp } = await import('../../api/app.ts')
  return newApp(own.services, async () => own.person)
}

describe('machines', () => {
  it('a machine writes its own kinds by its token and nothing else', async () => {
    const kinds: EntryKind[] = ['stay.began']
    const machine = { name: 'Scale', writeKinds: kinds, mayRead: false }
    const { deviceId, token } = await makeMachine(db(), office.desk, machine)
    const send = (path: string, body?: object) =>
      office.app.request(path, {
        ...(body === undefined ? {} : { method: 'POST', body: JSON.stringify(body) }),
        headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
      })
    const phone = await DeviceClient.make(office.app)
    const { signature, ...block } = await phone.block({ device: deviceId, deviceCounter: 1 })
    const signed = { ...block, kind: 'stay.began', signature }
    const response = await send('/api/entries', { entries: [block, signed] })
    const { results } = (await response.json()) as { results: { problem: { code: string } }[] }
    expect(results.map(({ problem }) => problem.code)).toEqual(['not_allowed', 'bad_signature'])
    expect((await send('/api/journal')).status).toBe(403)
    expect(await (await send('/api/device')).json()).toMatchObject({ name: 'Scale' })
  })
})
