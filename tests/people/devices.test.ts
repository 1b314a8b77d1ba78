// Devices: nobody writes as a device but the holder of its key, and not after it was revoked.
import { createHash, createPublicKey, verify } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { rebuild } from '../../api/journal/rebuild.ts'
import { confirmDevice, listDevices, revokeDevice } from '../../api/people/devices.ts'
import { acceptHeld, leaveHeld, listHeld } from '../../api/people/held-entries.ts'
import { newId } from '../../api/platform/clock.ts'
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

describe('signed batches', () => {
  it('an entry is proven by the enrolled key, from the stored bytes alone', async () => {
    const phone = await office.enrolled()
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
    const phone = await office.enrolled()
    const other = await office.enrolled()
    const before = await office.journalCount()
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
    expect(await office.journalCount()).toBe(before)
    expect(await db().selectFrom('set_aside').selectAll().execute()).toHaveLength(asideBefore)
    expect((await phone.send(sent)).status).toBe(200)
  })

  it('a device cannot write as another, by its own key or counter (invariant 11)', async () => {
    const [victim, thief] = [await office.enrolled(), await office.enrolled()]
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
    const phone = await office.enrolled()
    const signed = await phone.block()
    const unsigned = { ...signed, signature: undefined }
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
    const phone = await office.enrolled()
    const first = await phone.batch([await phone.block()])
    expect((await phone.send(first)).status).toBe(200)
    const before = await office.journalCount()
    const again = (await (await phone.send(first)).json()) as { results: { result: string }[] }
    expect(again.results.map(({ result }) => result)).toEqual(['already recorded'])
    const sameNumber = await phone.send(await phone.batch([await phone.block()], 1))
    expect([sameNumber.status, await codeOf(sameNumber)]).toEqual([409, 'old_number'])
    await phone.push([await phone.block()])
    const replayed = await phone.send(first)
    expect([replayed.status, await codeOf(replayed)]).toEqual([409, 'old_number'])
    expect(await office.journalCount()).toBe(before + 1)
  })

  it('two batches that race for one number do not both get it', async () => {
    const phone = await office.enrolled()
    const one = await phone.batch([await phone.block()], 5)
    const two = await phone.batch([await phone.block()], 5)
    const answers = await Promise.all([phone.send(one), phone.send(two)])
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 409])
  })

  it('a question signed long ago or far ahead is refused, with the server’s time', async () => {
    const phone = await office.enrolled()
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
    const phone = await office.enrolled()
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

describe('revocation', () => {
  it('counts at once; entries are held and judged singly, and judgements are kept', async () => {
    const phone = await office.enrolled()
    const early = await phone.block()
    await phone.push([early])
    await revokeDevice(db(), office.desk, phone.deviceId, 'lost in the lower block')
    const read = await phone.get('/api/journal', now)
    expect([read.status, await read.json()]).toMatchObject([401, { code: 'revoked_device' }])
    expect(await (await phone.get('/api/device', now)).json()).toMatchObject({ state: 'revoked' })
    const [good, bad, third] = [await phone.block(), await phone.block(), await phone.block()]
    const before = await office.journalCount()
    const { results } = await phone.push([early, good, bad, third])
    expect(results.map(({ result }) => result)).toEqual([
      'already recorded',
      ...Array<string>(3).fill('set aside'),
    ])
    expect(await office.journalCount()).toBe(before)
    const held = await listHeld(db(), phone.deviceId)
    expect(held.map(({ entryId, signed }) => [entryId, signed])).toEqual(
      [good, bad, third].map(({ id }) => [id, true]),
    )
    const [goodId = 0, badId = 0] = held.map(({ setAsideId }) => setAsideId)
    const given = { deviceId: phone.deviceId, setAsideIds: [goodId], reason: 'Ravi confirms' }
    expect(await acceptHeld(db(), office.desk, given)).toEqual({ recorded: 1, unreadable: [] })
    await leaveHeld(db(), office.desk, {
      ...given,
      setAsideIds: [badId],
      reason: 'nobody knows it',
    })
    expect((await listHeld(db(), phone.deviceId)).map(({ entryId }) => entryId)).toEqual([third.id])
    const accepted = await db().selectFrom('entry_acceptance').selectAll().execute()
    expect(accepted).toMatchObject([
      { accepted_id: good.id, person_id: office.person.personId, reason: 'Ravi confirms' },
    ])
    const stored = db().selectFrom('entry').select('id').where('id', 'in', [good.id, bad.id])
    expect(await stored.execute()).toEqual([{ id: good.id }])
    await expect(acceptHeld(db(), office.desk, given)).rejects.toThrow('none of these entries')
    await expect(revokeDevice(db(), office.desk, phone.deviceId, 'again')).rejects.toThrow('before')
  })

  it('a waiting device can be turned away and the desk itself never', async () => {
    const phone = await DeviceClient.make(office.app)
    await phone.enrol((await office.code()).code)
    await revokeDevice(db(), office.desk, phone.deviceId, 'the fingerprint differs')
    await expect(confirmDevice(db(), office.desk, phone.deviceId)).rejects.toThrow('revoked')
    const { deskDeviceId } = office.services
    await expect(revokeDevice(db(), office.desk, deskDeviceId, 'why not')).rejects.toThrow('desk')
    const line = (await listDevices(db())).find(({ device_id }) => device_id === phone.deviceId)
    expect(line).toMatchObject({ confirmed_at: null, revoked_at: now })
  })

  it('keys, revocations and acceptances come back from the journal (invariant 3)', async () => {
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
