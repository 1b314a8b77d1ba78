// The doors: other sites, false proxies, slow and oversized senders, and text that is no text.
import { connect } from 'node:net'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sql } from 'kysely'
import { plainDoors, proxyList } from '../../api/platform/doors.ts'
import { addressKey } from '../../api/platform/limits.ts'
import { listen } from '../../api/platform/listen.ts'
import { readSettings } from '../../api/platform/settings.ts'
import { newApp } from '../../api/app.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { password, realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

let real: RealApp
beforeAll(async () => {
  real = await realApp()
})
afterAll(() => real.drop())

const party = { name: 'North crew', role: 'crew', registrationNumber: '', note: '' }
const partyCount = async () =>
  (await real.services.db.selectFrom('party').select('name').execute()).length

describe('another site', () => {
  it.each([
    ['a form of another origin', { origin: 'https://evil.example' }],
    ['a form of an opaque origin', { origin: 'null' }],
    ['the same host on another port', { origin: 'http://localhost:81' }],
    ['the same host by https', { origin: 'https://localhost' }],
    ['a browser that says cross-site', { 'sec-fetch-site': 'cross-site' }],
    ['a browser that says same-site', { 'sec-fetch-site': 'same-site' }],
    [
      'our origin claimed across sites',
      { origin: 'http://localhost', 'sec-fetch-site': 'cross-site' },
    ],
    ['no word of where it comes from', {}],
  ])('cannot post a form: %s', async (_, headers) => {
    const cookie = await real.cookieFor('administrator')
    const before = await partyCount()
    for (const type of [
      'application/x-www-form-urlencoded',
      'text/plain',
      'application/json',
      '',
    ]) {
      const response = await real.app.request('http://localhost/nursery/parties/new', {
        method: 'POST',
        headers: { cookie, ...headers, ...(type === '' ? {} : { 'content-type': type }) },
        body: type === 'application/json' ? JSON.stringify(party) : new URLSearchParams(party),
      })
      expect([type, response.status]).toEqual([type, 403])
    }
    const signIn = await real.app.request('http://localhost/sign-in', {
      method: 'POST',
      headers: { ...headers, 'content-type': 'application/x-www-form-urlencoded' },
      body: new URLSearchParams({ signInName: 'ada', password }),
    })
    expect([signIn.status, signIn.headers.get('set-cookie')]).toEqual([403, null])
    expect(await partyCount()).toBe(before)
  })

  it('cannot use a session on the machine API, for it writes by a device alone', async () => {
    const cookie = await real.cookieFor('administrator')
    const response = await real.app.request('http://localhost/api/entries', {
      method: 'POST',
      headers: { cookie, 'content-type': 'application/json', origin: 'https://evil.example' },
      body: '{"entries":[]}',
    })
    expect(response.status).toBe(401)
    expect(response.headers.get('access-control-allow-origin')).toBeNull()
  })

  it('can neither frame nor script a page, on any answer', async () => {
    const cookie = await real.cookieFor('administrator')
    for (const path of ['/today', '/sign-in', '/nothing', '/first/x', '/api/journal', '/T/0']) {
      const response = await real.get(path, cookie)
      const policy = response.headers.get('content-security-policy') ?? ''
      expect(policy, path).toContain("default-src 'self'")
      expect(policy, path).toContain("script-src 'self'")
      expect(policy, path).toContain("frame-ancestors 'none'")
      expect(policy, path).not.toContain('unsafe')
      expect(response.headers.get('x-content-type-options'), path).toBe('nosniff')
    }
    expect((await real.get('/today', cookie)).headers.get('cache-control')).toBe('no-store')
  })
})

describe('the address of the server', () => {
  const asked = async (changes: object, url: string, headers: Record<string, string>) => {
    const app = newApp(real.services, personOfCookie, plainDoors(changes))
    return app.request(url, {
      method: 'POST',
      headers: { ...headers, 'content-type': 'application/x-www-form-urlencoded' },
      body: new URLSearchParams({ signInName: 'ada', password }),
    })
  }

  it('is what was configured, and then its cookie is for https and this host alone', async () => {
    const changes = { publicOrigin: 'https://vines.example' }
    const origin = { origin: 'https://vines.example' }
    const response = await asked(changes, 'http://vines.example/sign-in', origin)
    expect(response.status).toBe(303)
    const cookie = response.headers.get('set-cookie') ?? ''
    expect(cookie).toMatch(/^__Host-canemark=[\w-]{43}; /)
    expect(cookie).toMatch(/; Secure/)
    expect(cookie).toMatch(/Path=\//)
    expect(cookie).not.toMatch(/domain/i)
  })

  it('is not believed from a header that no trusted proxy wrote', async () => {
    const headers = {
      'x-forwarded-proto': 'https',
      'x-forwarded-host': 'vines.example',
      origin: 'https://vines.example',
    }
    const response = await asked({}, 'http://localhost/sign-in', headers)
    expect([response.status, response.headers.get('set-cookie')]).toEqual([403, null])
  })

  it('over plain http from another machine takes no password', async () => {
    const origin = { origin: 'http://192.0.2.7:8720' }
    const response = await asked({}, 'http://192.0.2.7:8720/sign-in', origin)
    expect([response.status, response.headers.get('set-cookie')]).toEqual([403, null])
    expect(await response.text()).toContain('plain http')
  })

  it.each([
    [
      'from a trusted proxy is that before it',
      '10.0.0.5',
      '198.51.100.9, 203.0.113.4',
      '203.0.113.4',
    ],
    [
      'behind two trusted proxies is before both',
      '10.0.0.5',
      '203.0.113.4, 10.0.0.6',
      '203.0.113.4',
    ],
    ['from anybody else is the peer itself', '198.51.100.1', '203.0.113.4', '198.51.100.1'],
    ['in IPv6 form is the same address', '::ffff:10.0.0.5', '203.0.113.4', '203.0.113.4'],
    ['without a word of the proxy is the proxy', '10.0.0.5', '', '10.0.0.5'],
  ])('of a client %s', async (_, peer, forwarded, address) => {
    const seen: string[] = []
    const limits = {
      count: async (name: string, key: string) => {
        if (name === 'sign-in address') seen.push(key)
      },
      forget: async () => undefined,
    }
    const isProxy = proxyList('10.0.0.0/24')
    const app = newApp(real.services, personOfCookie, plainDoors({ limits, isProxy }))
    const body = new URLSearchParams({ signInName: 'ada', password: 'not the password' })
    const headers = {
      'x-forwarded-for': forwarded,
      'x-forwarded-proto': 'http',
      origin: 'http://localhost',
    }
    const incoming = { socket: { remoteAddress: peer } }
    await app.request('http://localhost/sign-in', { method: 'POST', headers, body }, { incoming })
    expect(seen).toEqual([address])
  })

  it('of one household in IPv6 is its first 64 bits', () => {
    expect(addressKey('2001:db8:1:2:3:4:5:6')).toBe(addressKey('2001:db8:1:2::9'))
    expect(addressKey('2001:db8:1:2::9')).not.toBe(addressKey('2001:db8:1:3::9'))
  })
})

describe('settings', () => {
  it('that are not given listen on this machine alone and trust no proxy', () => {
    const { host, port, publicOrigin, isProxy, processes } = readSettings({})
    expect([host, port, publicOrigin, processes]).toEqual(['127.0.0.1', 8720, null, 1])
    expect(isProxy('127.0.0.1')).toBe(false)
  })

  it.each([
    [{ PORT: '80a' }, /PORT: "80a" is not a whole number from 0 to 65535/],
    [{ PORT: '70000' }, /PORT/],
    [{ CANEMARK_ORIGIN: 'vines.example' }, /CANEMARK_ORIGIN.*write it like https:/],
    [{ CANEMARK_ORIGIN: 'https://vines.example/office' }, /without a path/],
    [{ CANEMARK_PROXIES: '10.0.0.0/33' }, /CANEMARK_PROXIES: "10.0.0.0\/33"/],
    [{ CANEMARK_PROXIES: 'proxy.local' }, /neither an address nor a range/],
    [{ CANEMARK_PROCESSES: '0' }, /CANEMARK_PROCESSES/],
  ])('that make no sense stop the start and say how to mend them: %j', (env, message) => {
    expect(() => readSettings(env)).toThrow(message)
  })
})

describe('slow and oversized senders', () => {
  it('a client that does not finish its headers or its body is cut off', async () => {
    const times = { headersMs: 300, requestMs: 600, checkMs: 100 }
    const server = await listen(real.app, '127.0.0.1', 0, times)
    try {
      const head = 'POST /sign-in HTTP/1.1\r\nhost: localhost\r\nsec-fetch-site: same-origin\r\n'
      const slowHead = endOf(server.port, head)
      const type = 'content-type: application/x-www-form-urlencoded\r\n'
      const slowBody = endOf(server.port, `${head}${type}content-length: 1000\r\n\r\nsignIn`)
      // Node answers 408 (RFC 9110 §15.5.9) and closes.
      expect(await slowHead).toContain('408')
      expect(await slowBody).toContain('408')
    } finally {
      await server.stop()
    }
  })

  it('a form larger than a form can be is refused, said or not', async () => {
    const cookie = await real.cookieFor('administrator')
    const headers = {
      cookie,
      origin: 'http://localhost',
      'content-type': 'application/x-www-form-urlencoded',
    }
    const body = `note=${'a'.repeat(13 * 1024 * 1024)}`
    for (const length of [{}, { 'content-length': String(body.length) }]) {
      const path = 'http://localhost/nursery/parties/new'
      const all = { ...headers, ...length }
      expect((await real.app.request(path, { method: 'POST', headers: all, body })).status).toBe(
        413,
      )
    }
  })

  it('a stopping server finishes the answer under way', async () => {
    const server = await listen(real.app, '127.0.0.1', 0)
    const answer = fetch(`http://127.0.0.1:${server.port}/sign-in`)
    const [response] = await Promise.all([answer, answer.then(() => server.stop())])
    expect(response.status).toBe(200)
    expect(await response.text()).toContain('Sign in')
    await expect(fetch(`http://127.0.0.1:${server.port}/sign-in`)).rejects.toThrow()
  })
})

describe('text in the fields of people, devices and auditors', () => {
  const nasty = [
    `Robert'); drop table person; --`,
    '<script>alert(1)</script>',
    '"><img src=x onerror=alert(1)>',
    '=HYPERLINK("http://evil.example")',
    '{{7*7}} ${7*7} <%= 7*7 %>',
  ]

  it.each(nasty)('is kept as text and shown as text: %s', async (text) => {
    const cookie = await real.cookieFor('administrator')
    const added = await real.post('/people/new', {
      cookie,
      fields: { name: text, role: 'crew', signInName: '' },
    })
    expect(added.status).toBe(303)
    const page = await (await real.get('/people', cookie)).text()
    expect(page).toContain(escaped(text))
    expect(page).not.toContain('<script>alert')
    expect(page).not.toContain('<img src=x')
    const device = await real.post('/people/devices/new', { cookie, fields: { name: text } })
    expect(await device.text()).toContain(`Enrol ${escaped(text)}`)
    const lots = await real.post('/people/audits/new', {
      cookie,
      fields: { auditor: text, days: '3', lots: text, vines: text },
    })
    expect(lots.status).toBe(422)
    expect(await lots.text()).toContain(`no lot is called ${escaped(text)}`)
    const tables = await sql`select 1 from person limit 1`.execute(real.services.db)
    expect(tables.rows).toHaveLength(1)
  })

  it.each([
    ['a line break', 'Ada\r\nset-cookie: a=b'],
    ['a hidden character', 'Ada\u200bQuill'],
    ['a turn of direction', 'Ada\u202eQuill'],
    ['a nul', 'Ada\u0000'],
  ])('with %s is refused at its field', async (_, name) => {
    const cookie = await real.cookieFor('administrator')
    const fields = { name, role: 'crew', signInName: '' }
    const response = await real.post('/people/new', { cookie, fields })
    expect(response.status).toBe(422)
    expect(response.headers.get('set-cookie')).toBeNull()
    expect(await response.text()).toContain('error-name')
  })

  it.each(['a', 'Ada Quill', "ada'--", 'ada\u0131', '.ada', 'a'.repeat(41), 'ada/x', '<b>'])(
    'that is no sign-in name is refused: %j',
    async (signInName) => {
      const cookie = await real.cookieFor('administrator')
      const fields = { name: 'Somebody', role: 'office', signInName }
      const response = await real.post('/people/new', { cookie, fields })
      expect(response.status).toBe(422)
      expect(await response.text()).toContain('error-signInName')
    },
  )

  it.each(['../etc/passwd', '..%2f..%2fetc%2fpasswd', '%252e%252e', "1' or '1'='1", 'null', '%00'])(
    'and in addresses opens nothing: %s',
    async (part) => {
      const cookie = await real.cookieFor('administrator')
      for (const path of [`/people/${part}`, `/people/devices/${part}`, `/assets/${part}`]) {
        const { status } = await real.get(path, cookie)
        expect([path, status]).toEqual([path, 404])
      }
    },
  )
})

function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}

/** What the server says to a client that sends this and then nothing, until it closes. */
function endOf(port: number, sent: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(sent))
    let received = ''
    socket.on('data', (bytes) => (received += bytes.toString('latin1')))
    socket.on('close', () => resolve(received))
    socket.on('error', reject)
  })
}
