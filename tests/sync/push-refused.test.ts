// What is wrong in a push is told and kept, never lost, and never stops what is right.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { BATCH_BYTE_LIMIT } from '#wire/api-entries.ts'
import type { PushAnswerShape } from '#wire/api-entries.ts'
import type { Entry } from '#wire/entry.ts'
import { idOf } from '../sim/entry-writer.ts'
import { blockEntry, deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
beforeAll(async () => {
  api = await deviceApp(new Date('2027-02-03T09:00:00Z'))
})
afterAll(() => api.drop())

const block = () => blockEntry(api.device)

async function setAside(claimedId?: string) {
  let query = api.services.db.selectFrom('set_aside').selectAll().orderBy('set_aside_id')
  if (claimedId !== undefined) query = query.where('claimed_entry_id', '=', claimedId)
  return query.execute()
}

const journalCount = async () => {
  const rows = await api.services.db.selectFrom('entry').select('id').execute()
  return rows.length
}

describe('an entry that is wrong is set aside and never blocks the others', () => {
  const nested = (depth: number) => `${'['.repeat(depth)}${']'.repeat(depth)}`
  const wrong: [string, (entry: Entry) => unknown, string, string | null][] = [
    ['an unknown kind', (e) => ({ ...e, kind: 'vine.sung_to' }), 'unknown_kind', 'kind'],
    ['another version', (e) => ({ ...e, v: 999 }), 'unknown_version', 'v'],
    ['version zero', (e) => ({ ...e, v: 0 }), 'bad_envelope', 'v'],
    [
      'another device’s id (invariant 11)',
      (e) => ({ ...e, device: idOf('some other device') }),
      'other_device',
      'device',
    ],
    ['an id that is no UUIDv7', (e) => ({ ...e, id: 'one' }), 'bad_envelope', 'id'],
    [
      'an id of UUID version 4',
      (e) => ({ ...e, id: `${e.id.slice(0, 14)}4${e.id.slice(15)}` }),
      'bad_envelope',
      'id',
    ],
    [
      'a counter beyond what a number can hold',
      (e) => ({ ...e, deviceCounter: 2 ** 53 }),
      'bad_envelope',
      'deviceCounter',
    ],
    ['a counter of 1e400', (e) => withCounter(e, '1e400'), 'not_canonical', null],
    [
      'a counter of forty digits',
      (e) => withCounter(e, '1'.repeat(40)),
      'bad_envelope',
      'deviceCounter',
    ],
    [
      'a time after 2099',
      (e) => ({ ...e, occurredAt: '2100-01-01T00:00:00Z' }),
      'bad_envelope',
      'occurredAt',
    ],
    [
      'a time in the year 12027',
      (e) => ({ ...e, occurredAt: '12027-01-01T00:00:00Z' }),
      'bad_envelope',
      'occurredAt',
    ],
    [
      'a day that does not exist',
      (e) => ({ ...e, occurredAt: '2027-02-30T00:00:00Z' }),
      'bad_envelope',
      'occurredAt',
    ],
    [
      'an offset that no place on earth has',
      (e) => ({ ...e, occurredAt: '2027-02-03T00:00:00+23:59' }),
      'bad_envelope',
      'occurredAt',
    ],
    ['a member too many', (e) => ({ ...e, mood: 'good' }), 'bad_envelope', null],
    [
      'a member too many in its body',
      (e) => ({ ...e, body: { ...e.body, mood: 'good' } }),
      'bad_body',
      'body',
    ],
    [
      'a member named __proto__',
      (e) => asText(JSON.stringify(e).replace('"body":{', '"body":{"__proto__":{"x":1},')),
      'bad_body',
      'body',
    ],
    ['no body', ({ id, kind }) => ({ id, kind }), 'bad_envelope', 'occurredAt'],
    ['a text in place of an object', () => 'an entry', 'bad_envelope', null],
    ['null', () => null, 'bad_envelope', null],
    ['a list', (e) => [e], 'bad_envelope', null],
    [
      'half a character in its name',
      (e) => asText(JSON.stringify(e).replace('"Long"', '"\\ud800"')),
      'not_canonical',
      null,
    ],
    [
      'half a character in a member’s name',
      (e) => asText(JSON.stringify(e).replace('"name"', '"\\udc00"')),
      'not_canonical',
      null,
    ],
    [
      'a NUL in its name',
      (e) => ({ ...e, body: { ...e.body, name: 'a\0b' } }),
      'bad_body',
      'body.name',
    ],
    ['a NUL in its id', (e) => ({ ...e, id: `\0${e.id.slice(1)}` }), 'bad_envelope', 'id'],
    [
      'a body of half a megabyte',
      (e) => ({ ...e, body: { ...e.body, note: 'x'.repeat(500_000) } }),
      'too_large',
      null,
    ],
    [
      '40 lists within each other',
      (e) => asText(JSON.stringify(e).replace('"Long"', nested(40))),
      'too_deep',
      null,
    ],
    [
      '200,000 lists within each other',
      (e) => asText(JSON.stringify(e).replace('"Long"', nested(200_000))),
      'too_deep',
      null,
    ],
  ]

  class Text {
    readonly text: string
    constructor(text: string) {
      this.text = text
    }
  }
  const asText = (text: string) => new Text(text)
  const withCounter = (entry: Entry, digits: string) =>
    asText(JSON.stringify(entry).replace(/"deviceCounter":\d+/, `"deviceCounter":${digits}`))
  const textOf = (value: unknown) => (value instanceof Text ? value.text : JSON.stringify(value))

  it.each(wrong)('%s', async (_, spoil, code, path) => {
    const [first, last] = [block(), block()]
    const raw = textOf(spoil(block()))
    const body = `{"entries":[${JSON.stringify(first)},\n ${raw} , ${JSON.stringify(last)}]}`
    const response = await api.send(body)
    expect(response.status).toBe(200)
    const { results } = (await response.json()) as PushAnswerShape
    expect(results.map(({ result }) => result)).toEqual(['recorded', 'set aside', 'recorded'])
    expect(results[1]).toMatchObject({ problem: { code, path } })
    // It is kept exactly as it was sent, down to what parsing would have lost.
    expect((await setAside()).at(-1)?.raw.toString('utf8')).toBe(raw)
  })

  it('the same wrong entry sent again is kept once', async () => {
    const entry = { ...block(), v: 7 }
    await api.push([entry])
    const answer = await api.push([entry])
    expect(answer.results[0]?.result).toBe('set aside')
    expect(await setAside(entry.id)).toHaveLength(1)
  })

  it('a time at the end of 2099 with the widest offsets is recorded', async () => {
    const at = (occurredAt: string) => ({ ...block(), occurredAt })
    const { results } = await api.push([
      at('2099-12-31T23:59:59.999999-12:00'),
      at('2027-02-03T00:00:00+14:00'),
      at('2027-02-03T24:00:00Z'),
    ])
    expect(results.map(({ result }) => result)).toEqual(['recorded', 'recorded', 'recorded'])
  })
})

describe('what is no batch is refused whole, and nothing is written', () => {
  const good = () => JSON.stringify(block())
  const cases: [string, () => Promise<Response>, number, string, RegExp][] = [
    ['no JSON', () => api.send('{"entries":[{]}'), 400, 'not_json', /not JSON .* send one object/],
    [
      'JSON that breaks off after a good entry',
      () => api.send(`{"entries":[${good()},`),
      400,
      'not_json',
      /not JSON/,
    ],
    ['nothing', () => api.send(''), 400, 'not_json', /not JSON/],
    [
      'bytes that are no UTF-8',
      () => api.send(Uint8Array.of(0x22, 0xff)),
      400,
      'not_utf8',
      /UTF-8/,
    ],
    ['a list', () => api.send([]), 422, 'bad_batch', /send one object/],
    ['an object without entries', () => api.send({}), 422, 'bad_batch', /expected array/],
    ['entries that are no list', () => api.send({ entries: {} }), 422, 'bad_batch', /array/],
    ['another member', () => api.send({ entries: [], by: 1 }), 422, 'bad_batch', /"by"/],
    [
      'entries twice',
      () => api.send(`{"entries":[${good()}],"entries":[${good()}]}`),
      422,
      'bad_batch',
      /more than once/,
    ],
    [
      '1,001 entries',
      () => api.send(`{"entries":[${Array(1001).fill(good()).join()}]}`),
      422,
      'bad_batch',
      /at most 1000 entries/,
    ],
    [
      'three million numbers',
      () => api.send(`{"entries":[${'1,'.repeat(3_000_000)}1]}`),
      422,
      'bad_batch',
      /at most 1000 entries/,
    ],
    [
      'four million brackets',
      () => api.send('['.repeat(4_000_000)),
      400,
      'not_json',
      /ends within the list/,
    ],
    [
      'a list within a million objects',
      () => api.send(`${'{"a":'.repeat(1_000_000)}[]`),
      422,
      'bad_batch',
      /send one object/,
    ],
    [
      'ten megabytes',
      () => api.send(`{"entries":[${good()}],"x":"${'x'.repeat(10_000_000)}"}`),
      413,
      'too_large',
      /at most 8388608 bytes/,
    ],
    [
      'ten megabytes that do not say how long they are',
      () => api.send(`{"entries":[]} ${' '.repeat(10_000_000)}`, { headers: chunked }),
      413,
      'too_large',
      /at most 8388608 bytes/,
    ],
    ['a form', () => api.send('entries=1', { type: formType }), 415, 'not_json_type', /json/],
    ['no type', () => api.send(new Uint8Array(2), { type: null }), 415, 'not_json_type', /json/],
    [
      'another character set',
      () => api.send('{}', { type: 'application/json; charset=utf-16' }),
      415,
      'not_json_type',
      /UTF-8/,
    ],
    [
      'a compressed body',
      () => api.send('{}', { headers: { 'content-encoding': 'gzip' } }),
      415,
      'not_json_type',
      /not compressed/,
    ],
  ]
  const chunked = { 'transfer-encoding': 'chunked' }
  const formType = 'application/x-www-form-urlencoded'

  it.each(cases)('%s', async (_, send, status, code, says) => {
    const before = [await journalCount(), (await setAside()).length]
    const response = await send()
    expect(response.status).toBe(status)
    expect(response.headers.get('content-type')).toBe('application/problem+json')
    const problem = (await response.json()) as { code: string; detail: string; status: number }
    expect(problem).toMatchObject({ code, status, type: 'about:blank' })
    expect(problem.detail).toMatch(says)
    expect([await journalCount(), (await setAside()).length]).toEqual(before)
  })

  it('a body of exactly the limit is read', async () => {
    const start = `{"entries":[${good()}]}`
    const response = await api.send(start + ' '.repeat(BATCH_BYTE_LIMIT - start.length))
    expect(response.status).toBe(200)
  })
})
