// Whatever is asked of the machine API, it answers as it documents, and never with a failure.
import { randomBytes } from 'node:crypto'
import { Validator } from '@seriousme/openapi-schema-validator'
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeTagCode } from '#trade/tag-code.ts'
import type { Entry } from '#wire/entry.ts'
import { makeCheckpoint } from '../../api/journal/checkpoints.ts'
import { readEntry } from '../../api/journal/read-entry.ts'
import { randomSeason } from '../sim/season.ts'
import { newSigner } from '../journal/new-signer.ts'
import { nurseryDraft } from '../exchange/nursery.ts'
import { deviceApp } from './device-app.ts'
import type { Device, DeviceApp } from './device-app.ts'
import { answerChecker, operationsOf, resolverOf } from './openapi.ts'
import type { CheckAnswer, Description, Operation, Parameter } from './openapi.ts'
import { arbitraryOf, spoilt, strange } from './schema-arbitrary.ts'

const requestsEach = 60
let api: DeviceApp
let document: Description
let operations: Operation[]
let check: CheckAnswer
/** Real values by the name that parameters and bodies use for them. */
let known: Map<string, string[]>
let devices: Device[]

beforeAll(async () => {
  api = await deviceApp()
  await api.record([nurseryDraft])
  const entries = randomSeason(404, 300)
  for (const deviceId of new Set(entries.map(({ device }) => device))) {
    const own = entries.filter(({ device }) => device === deviceId)
    await api.push(own, await api.enrol(deviceId))
  }
  // Several devices, because each may ask only so often in a minute.
  devices = await Promise.all(Array.from({ length: 12 }, () => api.enrol()))
  known = namedValues(entries)
  known.set('code', await boundCodes(known.get('lotId') ?? []))
  known.set('position', ['1', '2', '20'])
  const { size } = await makeCheckpoint(
    api.services.db,
    await newSigner(api.services.db),
    new Date(),
  )
  known.set('index', ['0', '7', String(size - 1)])
  known.set('before', ['1', '40'])
  known.set('size', ['40', '64', String(size)])
  known.set(
    'id',
    ['lotId', 'sourceId', 'bathId'].flatMap((name) => known.get(name) ?? []),
  )
  const answer = await api.get('/api/openapi.json', null)
  document = (await answer.json()) as Description
  operations = operationsOf(document)
  check = answerChecker(document)
})
afterAll(() => api.drop())

/** Every id in the bodies of the season's entries, under the name that it has there. */
function namedValues(entries: Entry[]): Map<string, string[]> {
  const values = new Map<string, string[]>()
  const collect = (value: unknown) => {
    if (typeof value !== 'object' || value === null) return
    for (const [name, inner] of Object.entries(value)) {
      collect(inner)
      if (typeof inner !== 'string' || !/^[0-9a-f-]{36}$/.test(inner)) continue
      values.set(name, [...(values.get(name) ?? []), inner])
    }
  }
  for (const { body } of entries) collect(body)
  return values
}

async function boundCodes(lots: string[]): Promise<string[]> {
  const codes = [1, 2, 3].map(() => makeTagCode((count) => randomBytes(count)))
  await api.record(
    codes.map((code, nr) => ({
      kind: 'tag.bound' as const,
      body: { code, thing: { kind: 'lot' as const, id: lots[nr] ?? '' } },
    })),
  )
  return codes
}

type Wanted = { path: string; init: RequestInit & { headers: Record<string, string> } }

/** A request for the operation: well made, or with something wrong in any part of it. */
function requests(operation: Operation): fc.Arbitrary<Wanted> {
  const parts = operation.parameters.map((parameter) => {
    const value = parameterValues(parameter)
    const given = parameter.in === 'path' ? value : fc.option(value, { nil: undefined })
    return given.map((text) => ({ parameter, text }))
  })
  return fc
    .record({
      parameters: fc.tuple(...parts),
      extra: fc.option(fc.tuple(fc.string(), fc.string()), { nil: undefined, freq: 12 }),
      body: bodies(operation),
      token: fc.oneof(
        { arbitrary: fc.constantFrom(...devices.map(({ token }) => token)), weight: 14 },
        { arbitrary: fc.constant(null), weight: 3 },
        { arbitrary: fc.string(), weight: 1 },
      ),
      type: fc.oneof(
        { arbitrary: fc.constant('application/json'), weight: 12 },
        { arbitrary: fc.constantFrom('text/plain', 'application/xml', ''), weight: 1 },
      ),
      accept: fc.constantFrom('application/json', 'application/x-ndjson', '*/*'),
    })
    .map(({ parameters, extra, body, token, type, accept }) => {
      let { path } = operation
      const query = new URLSearchParams()
      for (const { parameter, text } of parameters) {
        if (text === undefined) continue
        if (parameter.in === 'query') query.append(parameter.name, text)
        else path = path.replace(`{${parameter.name}}`, encoded(text))
      }
      if (extra !== undefined) query.append(...extra)
      const headers: Record<string, string> = { accept }
      if (token !== null) headers.authorization = `Bearer ${encodeURIComponent(token)}`
      const init: Wanted['init'] = { method: operation.method, headers }
      if (body !== null) Object.assign(init, { body: bytesOf(body) })
      if (body !== null && type !== '') headers['content-type'] = type
      const search = query.size > 0 ? `?${query.toString()}` : ''
      return { path: `/api${path}${search}`, init }
    })
}

/** One step of a path: never empty, and never one that leads up or away. */
function encoded(text: string): string {
  const whole = text.replace(/\p{Cs}/gu, '?')
  return /^\.{0,2}$/.test(whole) ? '%20' : encodeURIComponent(whole)
}

function parameterValues({ name, schema }: Parameter): fc.Arbitrary<string> {
  const good = arbitraryOf(schema, resolverOf(document)).map(String)
  const real = known.get(name)
  const other = fc.oneof(fc.string(), fc.string({ unit: 'binary' }), strange.map(String))
  return fc.oneof(
    { arbitrary: real === undefined ? good : fc.constantFrom(...real), weight: 8 },
    { arbitrary: good, weight: 3 },
    { arbitrary: other, weight: 2 },
  )
}

function bodies({ body }: Operation): fc.Arbitrary<string | null> {
  if (body === null) return fc.constant(null)
  const good = arbitraryOf(body, resolverOf(document), [...new Set([...known.values()].flat())])
  const json = (value: unknown) => JSON.stringify(value)
  return fc.oneof(
    { arbitrary: good.map(json), weight: 4 },
    { arbitrary: good.map(asAKnownDevice).map(json), weight: 4 },
    { arbitrary: good.map(asAKnownDevice).chain(spoilt).map(json), weight: 5 },
    { arbitrary: fc.tuple(good.map(json), fc.nat()).map(cutShort), weight: 1 },
    { arbitrary: fc.string({ unit: 'binary' }), weight: 1 },
    { arbitrary: strange.map(json), weight: 1 },
  )
}

/** So that entries get past the envelope: they are said to be of a device that may send them. */
function asAKnownDevice<T>(batch: T): T {
  const sender = devices[0]?.deviceId
  const { entries } = batch as { entries?: unknown }
  if (!Array.isArray(entries)) return batch
  return { ...batch, entries: entries.map((entry: object) => ({ ...entry, device: sender })) }
}

const cutShort = ([text, at]: [string, number]) => text.slice(0, at % (text.length + 1))

/** Half characters have no bytes; they can only come as escapes, which JSON.stringify makes. */
const bytesOf = (text: string) => new TextEncoder().encode(text)

describe('the description of the machine API', () => {
  it('is valid OpenAPI 3.1 in the eyes of an outside validator', async () => {
    const validator = new Validator()
    const result = await validator.validate(structuredClone(document))
    expect(result.errors ?? []).toEqual([])
    expect(result.valid).toBe(true)
    expect(validator.version).toBe('3.1')
  })

  it('names every operation once and documents a refusal for each', () => {
    const ids = Object.values(document.paths).flatMap((item) =>
      Object.values(item).map((operation) => (operation as { operationId?: string }).operationId),
    )
    expect(new Set(ids).size).toBe(ids.length)
    expect(ids).not.toContain(undefined)
    expect(operations.length).toBeGreaterThan(11)
    for (const { responses, title } of operations) {
      expect(Object.keys(responses), title).toContain('401')
    }
  })

  it('the example of a batch is an entry that would be taken', () => {
    const batch = document.components.schemas.PushBatch as { example: { entries: Entry[] } }
    const [entry] = batch.example.entries
    if (entry === undefined) throw new Error('the example holds an entry')
    expect(readEntry(entry, entry.device)).toMatchObject({ entry: { kind: 'graft.made' } })
  })

  it('every pattern in it is one that JSON Schema tools can read', () => {
    const patterns = [...JSON.stringify(document).matchAll(/"pattern":("(?:[^"\\]|\\.)*")/g)]
    expect(patterns.length).toBeGreaterThan(100)
    for (const [, text = '""'] of patterns) {
      const pattern = JSON.parse(text) as string
      expect(() => new RegExp(pattern, 'u')).not.toThrow()
      expect(pattern.endsWith('/u')).toBe(false)
    }
  })
})

describe('generated requests', () => {
  it('no operation fails, and every answer is one that the description tells of', async () => {
    const seen = new Map<string, Set<number>>()
    for (const operation of operations) {
      const statuses = new Set<number>()
      seen.set(operation.title, statuses)
      await fc.assert(
        fc.asyncProperty(requests(operation), async ({ path, init }) => {
          const answer = await api.app.request(`http://localhost${path}`, init)
          statuses.add(answer.status)
          expect(answer.status, `${operation.title} ${path}`).toBeLessThan(500)
          expect(await check(operation, answer), `${operation.title} ${path}`).toBeNull()
        }),
        { numRuns: requestsEach, endOnFailure: true },
      )
    }
    // Requests that are all refused would prove little: each read must have found something.
    const never = [...seen].filter(([title, statuses]) => {
      return !statuses.has(200) && !/enrol|device$|photos|POST .*epcis/i.test(title)
    })
    expect(never.map(([title]) => title)).toEqual([])
    const withId = [...seen].filter(([title]) => title.includes('{'))
    expect(withId.filter(([, statuses]) => !statuses.has(400) && !statuses.has(404))).toEqual([])
  }, 300_000)

  it('after all of it, entries are still taken', async () => {
    const { results } = await api.push([])
    expect(results).toEqual([])
  })
})
