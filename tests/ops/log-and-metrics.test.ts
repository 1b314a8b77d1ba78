// The log tells who was refused what and no secret; the figures open to their token alone.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newLog } from '../../api/platform/log.ts'
import { newMetrics } from '../../api/platform/metrics.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import { readSettings } from '../../api/platform/settings.ts'
import { newApp } from '../../api/app.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

const token = 'figures-for-the-monitor'
const lines: string[] = []
let office: OfficeApp
let app: ReturnType<typeof newApp>

beforeAll(async () => {
  office = await officeApp()
  const log = newLog('info', { write: (line: string) => void lines.push(line) })
  const metrics = newMetrics(office.services.db, token)
  app = newApp(office.services, personOfCookie, plainDoors({ log, metrics }))
})
afterAll(() => office.drop())

const signIn = () =>
  app.request('http://localhost/sign-in', {
    method: 'POST',
    headers: { origin: 'http://localhost' },
    body: new URLSearchParams({ signInName: 'nobody', password: 'a secret word' }),
  })
const figures = (shown: string | null) =>
  app.request('/metrics', shown === null ? {} : { headers: { authorization: `Bearer ${shown}` } })

describe('the log', () => {
  it('names a refused sign-in by its code, without the password', async () => {
    lines.length = 0
    await signIn()
    const line = JSON.parse(lines.at(-1) ?? '{}')
    expect(line).toMatchObject({ method: 'POST', route: '/sign-in', refusal: 'wrong_sign_in' })
    expect(lines.join('')).not.toContain('secret word')
  })

  it('names a link by its route and never by its token', async () => {
    lines.length = 0
    await app.request('/first/hTq0QkfcD3ZlM9vZ8nX2aw')
    expect(lines.join('')).not.toContain('hTq0QkfcD3ZlM9vZ8nX2aw')
    expect(JSON.parse(lines.at(-1) ?? '{}')).toMatchObject({ refusal: 'link_void' })
  })
})

describe('the figures', () => {
  it('are shut without the token, with a wrong one, and where none is set', async () => {
    expect((await figures(null)).status).toBe(401)
    expect((await figures(`${token}x`)).status).toBe(401)
    expect((await office.app.request('/metrics')).status).toBe(404)
  })

  it('count entries, refusals and requests by route', async () => {
    const body = { blockId: office.person.personId, name: 'Lower', note: '' }
    await office.record([{ kind: 'block.registered', body }])
    await signIn()
    const text = await (await figures(token)).text()
    expect(text).toMatch(/^canemark_entries 1$/m)
    expect(text).toMatch(/^canemark_refusals_total\{code="wrong_sign_in"\} [1-9]/m)
    expect(text).toMatch(/canemark_request_seconds_count\{.*route="\/sign-in"/)
  })
})

it('a level or token that cannot be right is refused by its name at the start', () => {
  expect(() => readSettings({ CANEMARK_LOG: 'loud' })).toThrow(/CANEMARK_LOG: "loud"/)
  expect(() => readSettings({ CANEMARK_METRICS_TOKEN: 'short' })).toThrow(/at least 20 characters/)
})
