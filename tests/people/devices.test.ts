// Devices: nobody writes as a device but the holder of its key, and not after it was revoked.
import { createHash, createPublicKey, verify } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { fingerprint } from '#wire/api-enrol.ts'
import type { DeviceStateShape } from '#wire/api-enrol.ts'
import { rebuild } from '../../api/journal/rebuild.ts'
import { confirmDevice, listDevices, makeMachine, revokeDevice } from '../../api/people/devices.ts'
import { acceptHeld, leaveHeld, listHeld } from '../../api/people/held-entries.ts'
import { beginEnrolment, readEnrolment } from '../../api/people/enrolment.ts'
import { newId } from '../../api/platform/clock.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { DeviceClient } from './device-client.ts'

const now = new Date('2027-02-03T09:00:00Z')
const minutesLater = (minutes: number) => new Date(now.getTime() + minutes * 60_000)

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(now)
})
afterAll(() => office.drop())

const db = () => office.services.db
const desk = () => ({
  deviceId: office.services.deskDeviceId,
  personId: office.person.personId,
  now,
})
const code = async (deviceName = 'Phone of row crew 1', at = now) =>
  beginEnrolment(db(), { deviceName, madeBy: office.person.personId, now: at })

async function enrolled(): Promise<DeviceClient> {
  const phone = await DeviceClient.make(office.app)
  const response = await phone.enrol((await code()).code)
  expect(response.status).toBe(201)
  await confirmDevice(db(), desk(), phone.deviceId)
  return phone
}

async function journalCount(): Promise<number> {
  const row = await db()
    .selectFrom('entry')
    .select(({ fn }) => fn.countAll<number>().as('n'))
    .executeTakeFirstOrThrow()
  return row.n
}

const codeOf = async (response: Response) => ((await response.json()) as { code: string }).code

describe('enrolment', () => {
  it('a key comes in by the code, waits, and counts once the office compared it', async () => {
    const phone = await DeviceClient.make(office.app)
    const { code: shown, enrolmentId } = await code('Phone 7')
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
    await confirmDevice(db(), desk(), phone.deviceId)
    expect((await phone.push([entry])).results).toMatchObject([{ result: 'recorded' }])
    expect(await readEnrolment(db(), enrolmentId, now)).toMatchObject({ state: 'used' })
    const own = await phone.get('/api/device', now)
    expect(await own.json()).toMatchObject({ state: 'active', lastNumber: 2 })
  })

  it('a code is good for one key only, and for ten minutes only', async () => {
    const { code: shown } = await code()
    const [first, second, third] = await Promise.all([
      DeviceClient.make(office.app),
      DeviceClient.make(office.app),
      DeviceClient.make(office.app),
    ])
    const answers = await Promise.all([first.enrol(shown), second.enrol(shown)])
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 403])
    const { code: late } = await code('Late', minutesLater(-10))
    expect(await codeOf(await third.enrol(late))).toBe('wrong_code')
    const { code: inTime } = await code('In time', minutesLater(-9.9))
    expect((await third.enrol(inTime)).status).toBe(201)
  })

  it('a key cannot be brought in by somebody who does not hold it', async () => {
    const [owner, thief] = [
      await DeviceClient.make(office.app),
      await DeviceClient.make(office.app),
    ]
    const { code: shown } = await code()
    const body = JSON.stringify({ code: shown, publicKey: owner.publicKey })
    const response = await thief.send(await thief.signed('POST', '/api/enrol', body, 0))
    expect([response.status, await codeOf(response)]).toEqual([401, 'bad_signature'])
    expect((await owner.enrol(shown)).status).toBe(201)
  })

  it('what is no point of the curve is refused as a key', async () => {
    const phone = await DeviceClient.make(office.app)
    const raw = Buffer.from(phone.publicKey, 'base64url')
    raw[64] = (raw[64] ?? 0) ^ 1
    const { code: shown } = await code()
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
    const { code: shown, enrolmentId } = await code()
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

describe('signed batches', () => {
  it('an entry in the journal is proven by the enrolled key, from the stored bytes alone', async () => {
    const phone = await enrolled()
    const entry = await phone.block()
    await phone.push([entry])
    const stored = await db()
      .selectFrom('entry')
      .select(['canonical', 'leaf_hash'])
      .where('id', '=', entry.id)
      .executeTakeFirstOrThrow()
    const key = await db()
      .selectFrom('device_key')
      .select(['public_key', 'person_id'])
      .where('device_id', '=', phone.deviceId)
      .executeTakeFirstOrThrow()
    expect(key.person_id).toBe(office.person.personId)
    // By RFC 8785 the members stand sorted, so cutting the signature out leaves canonical bytes.
    const bytes = stored.canonical.toString('utf8')
    const [, signature = ''] = /"signature":"([^"]+)",/.exec(bytes) ?? []
    const unsigned = bytes.replace(/"signature":"[^"]+",/, '')
    const raw = Buffer.from(key.public_key ?? '', 'base64url')
    // The fixed head of a P-256 SubjectPublicKeyInfo (RFC 5480) before the raw point.
    const head = Buffer.from('3059301306072a8648ce3d020106082a8648ce3d030107034200', 'hex')
    const spki = createPublicKey({
      key: Buffer.concat([head, raw]),
      format: 'der',
      type: 'spki',
    })
    const isProven = (text: string) =>
      verify(
        'sha256',
        Buffer.from(`canemark entry 1\n${text}`),
        { key: spki, dsaEncoding: 'ieee-p1363' },
        Buffer.from(signature, 'base64url'),
      )
    expect(isProven(unsigned)).toBe(true)
    expect(isProven(unsigned.replace('"Long"', '"Lung"'))).toBe(false)
    // The signature stands in what the leaf hashes (RFC 6962 §2.1).
    const leaf = createHash('sha256')
      .update(Buffer.from([0]))
      .update(stored.canonical)
      .digest()
    expect(stored.leaf_hash.equals(leaf)).toBe(true)
  })

  it('an altered batch, path, number or device is refused and nothing is kept', async () => {
    const phone = await enrolled()
    const other = await enrolled()
    const before = await journalCount()
    const asideBefore = (await db().selectFrom('set_aside').selectAll().execute()).length
    const sent = await phone.batch([await phone.block()])
    const [device, number = '', signature = ''] = sent.header.split(' ')
    const flipped = `${signature[0] === 'A' ? 'B' : 'A'}${signature.slice(1)}`
    const altered = [
      { ...sent, body: sent.body.replace('Long', 'Lung') },
      { ...sent, body: `${sent.body} ` },
      { ...sent, path: '/api/entries?twice=1' },
      { ...sent, header: `${device} ${Number(number) + 1} ${signature}` },
      { ...sent, header: `${other.deviceId} ${number} ${signature}` },
      { ...sent, header: `${device} ${number} ${flipped}` },
      { ...sent, header: `${device} ${number} ${'A'.repeat(86)}` },
      { ...sent, header: `${device} ${number}` },
      { ...sent, header: `${device} ${number} ${signature} more` },
      { ...sent, header: `${device} 1e3 ${signature}` },
      { ...sent, header: `${newId()} ${number} ${signature}` },
      { ...sent, header: `' or 1=1 -- ${number} ${signature}` },
    ]
    for (const attempt of altered) {
      const response = await phone.send(attempt)
      expect([attempt.header, response.status]).toEqual([attempt.header, 401])
    }
    expect(await journalCount()).toBe(before)
    expect(await db().selectFrom('set_aside').selectAll().execute()).toHaveLength(asideBefore)
    expect((await phone.send(sent)).status).toBe(200)
  })

  it('a device cannot write as another, under its own key or its own counter (invariant 11)', async () => {
    const [victim, thief] = [await enrolled(), await enrolled()]
    const stolen = await victim.block()
    const asVictim = await thief.signed(
      'POST',
      '/api/entries',
      JSON.stringify({ entries: [stolen] }),
      1,
      victim.deviceId,
    )
    expect((await thief.send(asVictim)).status).toBe(401)
    const forged = await thief.block({ device: victim.deviceId, deviceCounter: 1 })
    const relabelled = { ...(await victim.block()), device: thief.deviceId }
    const { results } = await thief.push([stolen, forged, relabelled])
    expect(results.map((result) => 'problem' in result && result.problem.code)).toEqual([
      'bad_signature',
      'other_device',
      'bad_signature',
    ])
    expect((await victim.push([stolen])).results).toMatchObject([{ result: 'recorded' }])
  })

  it('an entry without a signature, or with one over something else, is set aside', async () => {
    const phone = await enrolled()
    const signed = await phone.block()
    const { signature: _dropped, ...unsigned } = signed
    const changed = { ...signed, occurredAt: '2027-02-03T08:00:01Z' }
    const odd = { ...signed, signature: 7 }
    const { results } = await phone.push([unsigned, changed, odd, signed])
    expect(results.map((result) => ('problem' in result ? result.problem.code : 'kept'))).toEqual([
      'bad_signature',
      'bad_signature',
      'bad_signature',
      'kept',
    ])
  })

  it('a batch sent twice changes nothing, an older or reused number is refused', async () => {
    const phone = await enrolled()
    const first = await phone.batch([await phone.block()])
    expect((await phone.send(first)).status).toBe(200)
    const before = await journalCount()
    const again = (await (await phone.send(first)).json()) as { results: { result: string }[] }
    expect(again.results.map(({ result }) => result)).toEqual(['already recorded'])
    const sameNumber = await phone.send(await phone.batch([await phone.block()], 1))
    expect([sameNumber.status, await codeOf(sameNumber)]).toEqual([409, 'old_number'])
    await phone.push([await phone.block()])
    const replayed = await phone.send(first)
    expect([replayed.status, await codeOf(replayed)]).toEqual([409, 'old_number'])
    expect(await journalCount()).toBe(before + 1)
  })

  it('two batches that race for one number do not both get it', async () => {
    const phone = await enrolled()
    const one = await phone.batch([await phone.block()], 5)
    const two = await phone.batch([await phone.block()], 5)
    const answers = await Promise.all([phone.send(one), phone.send(two)])
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 409])
  })

  it('a question signed long ago or far ahead is refused, and the server tells its time', async () => {
    const phone = await enrolled()
    expect((await phone.get('/api/journal?from=0&limit=1', now)).status).toBe(200)
    expect((await phone.get('/api/journal', minutesLater(-9.9))).status).toBe(200)
    for (const at of [minutesLater(-10.1), minutesLater(10.1)]) {
      const response = await phone.get('/api/journal', at)
      expect(response.status).toBe(401)
      const problem = (await response.json()) as { code: string; detail: string }
      expect(problem.code).toBe('clock_differs')
      expect(problem.detail).toContain(now.toISOString())
    }
  })

  it('what only the office may write is set aside when a device sends it', async () => {
    const phone = await enrolled()
    const policy = await phone.entry('policy.set', {
      key: 'holdReleaseNeedsTwo',
      value: false,
      source: 'me',
      effectiveFrom: '2027-01-01',
    })
    const lift = await phone.entry('hold.lifted', {
      holdId: newId(),
      reason: 'fine',
      secondPersonId: newId(),
    })
    const enrol = await phone.entry('device.enrolled', { deviceId: newId(), publicKey: null })
    const { results } = await phone.push([policy, lift, enrol])
    expect(results.map((result) => 'problem' in result && result.problem.code)).toEqual(
      Array(3).fill('not_allowed'),
    )
  })
})

describe('machines', () => {
  it('a machine writes its own kinds by its token and nothing else', async () => {
    const kinds = ['check.moisture' as const]
    const machine = { name: 'Scale', writeKinds: kinds, mayRead: false }
    const { deviceId, token } = await makeMachine(db(), desk(), machine)
    const send = (path: string, body?: object) =>
      office.app.request(path, {
        ...(body === undefined ? {} : { method: 'POST', body: JSON.stringify(body) }),
        headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
      })
    const phone = await DeviceClient.make(office.app)
    const { signature, ...block } = await phone.block({ device: deviceId, deviceCounter: 1 })
    const signed = { ...block, kind: 'check.moisture', signature }
    const response = await send('/api/entries', { entries: [block, signed] })
    const { results } = (await response.json()) as { results: { problem: { code: string } }[] }
    expect(results.map(({ problem }) => problem.code)).toEqual(['not_allowed', 'bad_signature'])
    expect((await send('/api/journal')).status).toBe(403)
    expect(await (await send('/api/device')).json()).toMatchObject({ name: 'Scale' })
  })
})

describe('revocation', () => {
  it('counts at once; entries are held and judged one by one, and both judgements are kept', async () => {
    const phone = await enrolled()
    const early = await phone.block()
    await phone.push([early])
    await revokeDevice(db(), desk(), phone.deviceId, 'lost in the lower block')
    expect((await phone.get('/api/journal', now)).status).toBe(401)
    expect(await (await phone.get('/api/device', now)).json()).toMatchObject({ state: 'revoked' })
    const [good, bad, third] = [await phone.block(), await phone.block(), await phone.block()]
    const before = await journalCount()
    const { results } = await phone.push([early, good, bad, third])
    expect(results.map(({ result }) => result)).toEqual([
      'already recorded',
      ...Array<string>(3).fill('set aside'),
    ])
    expect(await journalCount()).toBe(before)
    const held = await listHeld(db(), phone.deviceId)
    expect(held.map(({ entryId, signed }) => [entryId, signed])).toEqual(
      [good, bad, third].map(({ id }) => [id, true]),
    )
    const [goodId = 0, badId = 0] = held.map(({ setAsideId }) => setAsideId)
    const given = { deviceId: phone.deviceId, setAsideIds: [goodId], reason: 'Ravi confirms' }
    expect(await acceptHeld(db(), desk(), given)).toEqual({ recorded: 1, unreadable: [] })
    await leaveHeld(db(), desk(), { ...given, setAsideIds: [badId], reason: 'nobody knows it' })
    expect((await listHeld(db(), phone.deviceId)).map(({ entryId }) => entryId)).toEqual([third.id])
    const accepted = await db().selectFrom('entry_acceptance').selectAll().execute()
    expect(accepted).toMatchObject([
      { accepted_id: good.id, person_id: office.person.personId, reason: 'Ravi confirms' },
    ])
    const stored = await db().selectFrom('entry').select('id').where('id', 'in', [good.id, bad.id])
    expect(await stored.execute()).toEqual([{ id: good.id }])
    await expect(acceptHeld(db(), desk(), given)).rejects.toThrow('none of these entries')
    await expect(revokeDevice(db(), desk(), phone.deviceId, 'again')).rejects.toThrow('before')
  })

  it('a waiting device can be turned away and the desk itself never', async () => {
    const phone = await DeviceClient.make(office.app)
    await phone.enrol((await code()).code)
    await revokeDevice(db(), desk(), phone.deviceId, 'the fingerprint differs')
    await expect(confirmDevice(db(), desk(), phone.deviceId)).rejects.toThrow('revoked')
    const { deskDeviceId } = office.services
    await expect(revokeDevice(db(), desk(), deskDeviceId, 'why not')).rejects.toThrow('desk')
    const line = (await listDevices(db())).find(({ device_id }) => device_id === phone.deviceId)
    expect(line).toMatchObject({ confirmed_at: null, revoked_at: now })
  })

  it('keys, revocations and acceptances come back from the journal alone (invariant 3)', async () => {
    const read = async () => [
      await db().selectFrom('device_key').selectAll().orderBy('entry_id').execute(),
      await db().selectFrom('device_revocation').selectAll().orderBy('entry_id').execute(),
      await db().selectFrom('entry_acceptance').selectAll().orderBy('entry_id').execute(),
    ]
    const before = await read()
    expect(before.every((rows) => rows.length > 0)).toBe(true)
    await rebuild(office.database.owner.db)
    expect(await read()).toEqual(before)
  })
})
