// Signing in: nobody is let in or told apart who should not be, and sessions end when they must.
import { dictionary } from '@zxcvbn-ts/language-common'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parseOptions } from '@node-rs/argon2'
import { ownPath } from '../../api/office/sign-in/pages.tsx'
import { checkFirstLink, makeFirstLink } from '../../api/people/first-run.ts'
import { makePasswordLink } from '../../api/people/password-links.ts'
import { endPersonsTime } from '../../api/people/people.ts'
import { isPassword, passwordProblem } from '../../api/people/passwords.ts'
import { newLimits } from '../../api/platform/limits.ts'
import { cookieOf, password, realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

let real: RealApp
beforeAll(async () => {
  real = await realApp()
})
afterAll(() => real.drop())

const signIn = (signInName: string, given: string, app = real) =>
  app.post('/sign-in', { fields: { signInName, password: given } })

async function isIn(cookie: string): Promise<boolean> {
  return (await real.get('/me', cookie)).status === 200
}

describe('the first start', () => {
  it('makes one administrator by one link, once, and no default account exists', async () => {
    const { db } = real.services
    expect(await makeFirstLink(db, real.now())).toBeNull()
    const page = await real.get('/first/AAAAAAAAAAAAAAAAAAAAAA')
    expect(page.status).toBe(404)
    const before = await db.selectFrom('person').select('person_id').execute()
    const fields = { name: 'Eve', signInName: 'eve', password, again: password }
    expect((await real.post('/first/AAAAAAAAAAAAAAAAAAAAAA', { fields })).status).toBe(404)
    expect(await db.selectFrom('person').select('person_id').execute()).toEqual(before)
  })

  it('lets only the link printed last count, for a day, kept as a hash', async () => {
    const { db } = real.services
    // No administrator with a password: as on a new database.
    await db
      .updateTable('person')
      .set({ role: 'office' })
      .where('role', '=', 'administrator')
      .execute()
    const old = (await makeFirstLink(db, real.now())) ?? ''
    const last = (await makeFirstLink(db, real.now())) ?? ''
    expect(Buffer.from(last, 'base64url')).toHaveLength(16)
    await expect(checkFirstLink(db, old, real.now())).rejects.toThrow('newer one was printed')
    await checkFirstLink(db, last, real.now())
    const nearlyADay = new Date(real.now().getTime() + 24 * 3_600_000 - 1)
    await checkFirstLink(db, last, nearlyADay)
    const aDay = new Date(nearlyADay.getTime() + 2)
    await expect(checkFirstLink(db, last, aDay)).rejects.toThrow('has run out')
    const stored = await db.selectFrom('installation').selectAll().execute()
    expect(JSON.stringify(stored)).not.toContain(last)
    const fields = { name: 'Ivo Marsh', signInName: 'Ivo', password, again: password }
    const made = await real.post(`/first/${last}`, { fields })
    expect([made.status, made.headers.get('location')]).toEqual([303, '/begin'])
    expect((await real.get('/begin', cookieOf(made))).status).toBe(200)
    expect((await real.post(`/first/${last}`, { fields })).status).toBe(404)
    await db
      .updateTable('person')
      .set({ role: 'administrator' })
      .where('person_id', '=', real.idOf('administrator'))
      .execute()
  })
})

describe('a name and a password', () => {
  it('open a session whose cookie no script and no other site can use', async () => {
    const response = await signIn(' ADA ', password)
    expect([response.status, response.headers.get('location')]).toEqual([303, '/today'])
    const cookie = response.headers.get('set-cookie') ?? ''
    expect(cookie).toMatch(/^canemark=[\w-]{43}; /)
    expect(cookie).toContain('HttpOnly')
    expect(cookie).toContain('SameSite=Lax')
    expect(cookie).toContain('Path=/')
    expect(await isIn(cookieOf(response))).toBe(true)
    const token = cookieOf(response).split('=')[1] ?? ''
    const stored = await real.services.db.selectFrom('session').selectAll().execute()
    expect(JSON.stringify(stored)).not.toContain(token)
  })

  it('are answered alike whether the name, the password or the person is wrong', async () => {
    const { db } = real.services
    await endPersonsTime(db, real.idOf('crew'), real.now())
    const answers = [
      await signIn('ada', 'not the password'),
      await signIn('nobody', 'not the password'),
      await signIn('office', 'has set none yet'),
      await signIn('crew', 'has left already'),
      await signIn("ada' or '1'='1", password),
    ]
    const pages = await Promise.all(answers.map((answer) => answer.text()))
    const plain = pages.map((page) => page.replace(/name="signInName"[^>]*|value="[^"]*"/g, ''))
    expect(new Set(plain).size).toBe(1)
    expect(plain[0]).toContain('do not fit together')
    expect(answers.map(({ status }) => status)).toEqual(Array(5).fill(401))
    expect(answers.every(({ headers }) => headers.get('set-cookie') === null)).toBe(true)
  })

  it('cost the same work when nobody has the name', async () => {
    // The work is the hash: an unknown name is checked against a hash of the same strength.
    const { db } = real.services
    const row = await db
      .selectFrom('sign_in')
      .select('password_hash')
      .where('sign_in_name', '=', 'ada')
      .executeTakeFirstOrThrow()
    // OWASP Password Storage Cheat Sheet: argon2id with 19 MiB, 2 iterations, 1 lane at least.
    const { algorithm, memoryCost = 0, timeCost = 0 } = parseOptions(row.password_hash ?? '')
    expect(row.password_hash).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/)
    expect([algorithm, memoryCost, timeCost]).toEqual([2, 19_456, 2])
    const known: number[] = []
    const unknown: number[] = []
    for (let nr = 0; nr < 5; nr += 1) {
      known.push(await cpuOf(() => isPassword(row.password_hash, 'not the password')))
      unknown.push(await cpuOf(() => isPassword(null, 'not the password')))
    }
    expect(Math.min(...unknown)).toBeGreaterThan(Math.min(...known) / 3)
  })

  it('are tried ten times from one address and then no more, right or wrong', async () => {
    const own = await realApp()
    try {
      const wrong = async () => (await signIn('ada', 'not the password', own)).status
      for (let nr = 0; nr < 10; nr += 1) expect(await wrong()).toBe(401)
      const right = await signIn('ada', password, own)
      expect(right.status).toBe(429)
      expect(Number(right.headers.get('retry-after'))).toBeGreaterThan(800)
      expect(await right.text()).toContain('too many tries; wait 15 minutes')
      expect((await signIn('office', password, own)).status).toBe(401)
    } finally {
      await own.drop()
    }
  })

  it('are counted over all processes where several serve one database', async () => {
    const { pool } = real.database.app
    const [one, other] = [newLimits(pool), newLimits(pool)]
    for (let nr = 0; nr < 10; nr += 1) {
      await (nr % 2 === 0 ? one : other).count('sign-in name and address', 'eve 192.0.2.1')
    }
    await expect(one.count('sign-in name and address', 'eve 192.0.2.1')).rejects.toThrow('too many')
    await other.forget('sign-in name and address', 'eve 192.0.2.1')
    await one.count('sign-in name and address', 'eve 192.0.2.1')
    const rows = await real.services.db.selectFrom('rate_limit').selectAll().execute()
    expect(rows.length).toBeGreaterThan(0)
    expect(JSON.stringify(rows)).not.toMatch(/eve|192/)
  })

  it.each([
    ['/lots?find=a', '/lots?find=a'],
    ['//evil.example', '/today'],
    ['/\\evil.example', '/today'],
    ['/a\\evil', '/today'],
    ['https://evil.example', '/today'],
    ['/\tevil', '/today'],
    ['/x\r\nset-cookie: a=b', '/today'],
    ['/sign-out', '/today'],
    ['', '/today'],
  ])('lead on to %j only within this server', (asked, path) => {
    expect(ownPath(asked)).toBe(path)
  })
})

describe('a session', () => {
  it('ends after twelve idle hours, and after seven days whatever happens', async () => {
    const cookie = cookieOf(await signIn('ada', password))
    real.later(11 * 60 + 59)
    expect(await isIn(cookie)).toBe(true)
    real.later(11 * 60 + 59)
    expect(await isIn(cookie)).toBe(true)
    for (let hours = 24; hours < 7 * 24 - 6; hours += 6) {
      real.later(6 * 60)
      expect(await isIn(cookie)).toBe(true)
    }
    real.later(6 * 60 + 3)
    expect(await isIn(cookie)).toBe(false)
    const other = cookieOf(await signIn('ada', password))
    real.later(12 * 60 + 1)
    expect(await isIn(other)).toBe(false)
  })

  it('is listed to its person alone, who can end any of them', async () => {
    const [mine, elsewhere] = [await signIn('ada', password), await signIn('ada', password)].map(
      cookieOf,
    )
    const office = await real.cookieFor('office')
    const page = await (await real.get('/me', mine ?? '')).text()
    const [id = ''] = /(?<=\/me\/sessions\/)[0-9a-f-]{36}/.exec(page) ?? []
    expect((await real.post(`/me/sessions/${id}/end`, { cookie: office })).status).toBe(404)
    expect(await isIn(elsewhere ?? '')).toBe(true)
    expect((await real.post(`/me/sessions/${id}/end`, { cookie: mine ?? '' })).status).toBe(303)
    expect([await isIn(mine ?? ''), await isIn(elsewhere ?? '')]).toEqual([true, false])
    await real.post('/sign-out', { cookie: mine ?? '' })
    expect(await isIn(mine ?? '')).toBe(false)
  })

  it('takes a new role from the next request on, and ends when the person leaves', async () => {
    const { db } = real.services
    const cookie = await real.cookieFor('lead hand')
    expect((await real.get('/sources/new', cookie)).status).toBe(403)
    const id = real.idOf('lead hand')
    await db.updateTable('person').set({ role: 'office' }).where('person_id', '=', id).execute()
    expect((await real.get('/sources/new', cookie)).status).toBe(200)
    await endPersonsTime(db, id, real.now())
    expect(await isIn(cookie)).toBe(false)
  })

  it('that ended while a form was typed loses nothing: signing in saves it', async () => {
    const fields = { name: 'Oslo', role: 'crew', registrationNumber: '', note: '<b>"four"</b>' }
    const asked = await real.post('/nursery/parties/new', { fields })
    const page = await asked.text()
    expect(asked.status).toBe(401)
    expect(page).toContain('value="&lt;b&gt;&quot;four&quot;&lt;/b&gt;"')
    const wrong = { ...fields, ownSignInName: 'ada', ownPassword: 'not the password' }
    const again = await real.post('/nursery/parties/new', { fields: wrong })
    expect([again.status, (await again.text()).includes('not the password')]).toEqual([401, false])
    const right = { ...fields, ownSignInName: 'ada', ownPassword: password }
    const saved = await real.post('/nursery/parties/new', { fields: right })
    expect(saved.status).toBe(303)
    expect(await isIn(cookieOf(saved))).toBe(true)
    const party = await real.services.db.selectFrom('party').selectAll().executeTakeFirstOrThrow()
    expect(party).toMatchObject({ name: 'Oslo', note: '<b>"four"</b>' })
  })

  it('gives the password once more within the form that needs it', async () => {
    const cookie = cookieOf(await signIn('ada', password))
    real.later(11)
    const fields = { name: 'Oro Vidal', role: 'crew', signInName: '' }
    const wrong = { ...fields, ownPassword: 'not the password' }
    expect((await real.post('/people/new', { cookie, fields: wrong })).status).toBe(403)
    const right = { ...fields, ownPassword: password }
    expect((await real.post('/people/new', { cookie, fields: right })).status).toBe(303)
    const next = { ...fields, name: 'Oro Ros' }
    expect((await real.post('/people/new', { cookie, fields: next })).status).toBe(303)
  })
})

describe('a link to set a password', () => {
  it('works once, for three days, and ends the sessions of before', async () => {
    const { db } = real.services
    const by = { personId: real.idOf('administrator'), now: real.now() }
    const id = real.idOf('office')
    const before = await real.cookieFor('office')
    const void_ = await makePasswordLink(db, id, by)
    const token = await makePasswordLink(db, id, by)
    const fields = { password: 'buds in cold water', again: 'buds in cold water' }
    expect((await real.get(`/set-password/${void_}`)).status).toBe(404)
    const weak = { password: 'the office 1', again: 'the office 1' }
    expect((await real.post(`/set-password/${token}`, { fields: weak })).status).toBe(422)
    const set = await real.post(`/set-password/${token}`, { fields })
    expect(set.status).toBe(303)
    expect([await isIn(before), await isIn(cookieOf(set))]).toEqual([false, true])
    expect((await real.post(`/set-password/${token}`, { fields })).status).toBe(404)
    expect((await signIn('office', 'buds in cold water')).status).toBe(303)
    const late = await makePasswordLink(db, id, by)
    real.later(72 * 60 + 1)
    expect((await real.get(`/set-password/${late}`)).status).toBe(404)
  })

  it('cannot be guessed: an address has thirty tries', async () => {
    const own = await realApp()
    try {
      const statuses: number[] = []
      for (let nr = 0; nr < 32; nr += 1) statuses.push((await own.get(`/open/${nr}`)).status)
      expect(statuses).toEqual([...Array<number>(30).fill(404), 429, 429])
      expect((await own.get('/set-password/x')).status).toBe(429)
    } finally {
      await own.drop()
    }
  })
})

describe('a new password', () => {
  const about = ['Tessa Arden', 'tessa', 'Vivero del Llano']
  it.each([
    ['short one', /has 9 characters/],
    ['passwordpassword', /tried first/],
    ['Qwertyuiop', /tried first/],
    ['Winter2027!!', /tried first/],
    ['p4ssw0rd2027', /tried first/],
    ['Viñedo123456', /tried first/],
    ['aaaaaaaaaaaa', /tried first/],
    ['abcabcabcabc', /tried first/],
    ['cdefghijklm', /tried first/],
    ['mlkjihgfedcba', /tried first/],
    ['tessa-arden', /a name that others know/],
    ['Tessa Arden 26', /a name that others know/],
    ['vivero del llano', /a name that others know/],
    ['x'.repeat(201), /has 201 characters/],
    ['a sentence\u0000 here', /cannot be typed/],
  ])('%j is refused', (given, why) => {
    expect(passwordProblem(given, about)).toMatch(why)
  })

  it('more than 3,000 of the most common ones, dressed up to be long enough, are refused', () => {
    const all = dictionary['passwords-common'].filter((word) => /^[a-z]{4,}$/.test(word))
    const long = all.slice(0, 5000).map((word) => `${word}2027!!`.slice(0, 40))
    const taken = long.filter((word) => passwordProblem(word, []) === null)
    expect(long.length).toBeGreaterThan(3000)
    expect(taken.filter((word) => word.length >= 10)).toEqual([])
  })

  it.each(['three crows on a wire', 'ünï cödé wörds', '9f!kLq02_zz', 'tessa likes old cold rooms'])(
    '%j is taken: length counts, composition does not',
    (given) => {
      expect(passwordProblem(given, about)).toBeNull()
    },
  )
})

/** Processor time in ms that a task takes, on all threads of this process. */
async function cpuOf(task: () => Promise<unknown>): Promise<number> {
  const before = process.cpuUsage()
  await task()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000
}
