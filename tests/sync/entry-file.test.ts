// The file that a phone without a network writes is taken in at the desk, by its signatures alone.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import canonicalize from 'canonicalize'
import { revokeDevice } from '../../api/people/devices.ts'
import { takeInFile } from '../../api/sync/entry-file.ts'
import { DeviceClient } from '../people/device-client.ts'
import { deviceOffice } from '../people/device-office.ts'
import type { DeviceOffice } from '../people/device-office.ts'

const now = new Date('2027-02-03T09:00:00Z')
let office: DeviceOffice
beforeAll(async () => {
  office = await deviceOffice(now)
})
afterAll(() => office.drop())

const fileOf = (entries: object[]) =>
  Buffer.from(entries.map((entry) => `${canonicalize(entry)}\n`).join(''), 'utf8')
const takeIn = (bytes: Uint8Array) => takeInFile(office.services.db, bytes)

describe('a phone’s file', () => {
  it('is recorded once, whether the phone has sent some or sends all of it later', async () => {
    const phone = await office.enrolled()
    const entries = [await phone.block(), await phone.block(), await phone.block()]
    await phone.push(entries.slice(0, 1))
    expect(await takeIn(fileOf(entries))).toEqual({ recorded: 2, known: 1, setAside: 0 })
    expect(await takeIn(fileOf(entries))).toEqual({ recorded: 0, known: 3, setAside: 0 })
    const { results } = await phone.push(entries)
    expect(results.map(({ result }) => result)).toEqual(Array(3).fill('already recorded'))
  })

  it('has entries that were altered set aside, and those of a revoked phone held', async () => {
    const phone = await office.enrolled()
    const altered = { ...(await phone.block()), occurredAt: '2027-02-03T08:00:01Z' }
    expect(await takeIn(fileOf([altered]))).toEqual({ recorded: 0, known: 0, setAside: 1 })
    const late = await phone.block()
    await revokeDevice(office.services.db, office.desk, phone.deviceId, 'lost')
    expect(await takeIn(fileOf([late]))).toEqual({ recorded: 0, known: 0, setAside: 1 })
  })

  it('is refused whole, the line named, when it is cut off, empty or from a stranger', async () => {
    const phone = await office.enrolled()
    const entries = [await phone.block(), await phone.block()]
    const count = await office.journalCount()
    const whole = fileOf(entries)
    await expect(takeIn(whole.subarray(0, -9))).rejects.toThrow(/^line 2 is not whole/)
    await expect(takeIn(Buffer.from('\n'))).rejects.toThrow(/holds no entry/)
    await expect(takeIn(Buffer.from('[1]\n'))).rejects.toThrow(/^line 1 is no entry/)
    await expect(takeIn(Buffer.of(0xff, 0xfe))).rejects.toThrow(/not UTF-8/)
    const stranger = await DeviceClient.make(office.app)
    stranger.deviceId = '019b5b7e-0000-7000-8000-00000000beef'
    const theirs = [...entries, await stranger.block()]
    await expect(takeIn(fileOf(theirs))).rejects.toThrow(/^line 3 comes from a phone that/)
    const waiting = await DeviceClient.make(office.app)
    await waiting.enrol((await office.code('New one')).code)
    await expect(takeIn(fileOf([await waiting.block()]))).rejects.toThrow(/compare its finger/)
    expect(await office.journalCount()).toBe(count)
  })

  it('comes in through the page, which says what became of it', async () => {
    const phone = await office.enrolled()
    const body = new FormData()
    body.set('file', new File([fileOf([await phone.block()])], 'phone.ndjson'))
    const request = { method: 'POST', body, headers: { origin: 'http://localhost' } }
    const sent = await office.app.request('http://localhost/people/devices/file', request)
    expect(sent.status).toBe(303)
    const page = await office.app.request(sent.headers.get('location') ?? '')
    expect(await page.text()).toContain('Recorded: 1. Here before: 0. Set aside or held: 0.')
    const empty = new FormData()
    empty.set('file', new File(['{"half":'], 'phone.ndjson'))
    const refused = await office.app.request('http://localhost/people/devices/file', {
      ...request,
      body: empty,
    })
    expect(refused.status).toBe(422)
    expect(await refused.text()).toContain('line 1 is not whole')
  })
})
