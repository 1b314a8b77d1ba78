// The first start as a person meets it: a real process, its printed link, and a clean stop.
import { createServer } from 'node:net'
import type { AddressInfo } from 'node:net'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { killServers, ServerProcess } from '../faults/server-process.ts'
import { cookieOf, password } from './real-app.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(async () => {
  await killServers()
  await database.drop()
})

const start = (environment: Record<string, string> = {}) =>
  ServerProcess.start({ DATABASE_URL: database.url, ...environment })

async function printedLink(server: ServerProcess): Promise<string | null> {
  const deadline = Date.now() + 20_000
  for (;;) {
    const [link] = /http:\/\/\S+\/first\/\S+/.exec(server.output) ?? []
    if (link !== undefined) return new URL(link).pathname
    if (Date.now() > deadline) return null
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
}

function post(server: ServerProcess, path: string, fields: Record<string, string>, cookie = '') {
  return server.door(path, {
    method: 'POST',
    body: new URLSearchParams(fields),
    headers: { origin: server.url, cookie },
    redirect: 'manual',
  })
}

it('prints a link that makes the administrator; later starts print none', async () => {
  const first = await start()
  const earlier = (await printedLink(first)) ?? ''
  expect(earlier).toMatch(/^\/first\/[\w-]{22}$/)
  first.process.kill('SIGTERM')
  expect(await first.ended).toBe(0)

  const server = await start()
  const link = (await printedLink(server)) ?? ''
  expect((await server.door(earlier, {})).status).toBe(404)
  const page = await server.door(link, {})
  expect([page.status, await page.text()]).toEqual([200, expect.stringContaining('works once')])
  const fields = { name: 'Ada Quill', signInName: 'ada', password, again: password }
  const made = await post(server, link, fields)
  expect([made.status, made.headers.get('location')]).toEqual([303, '/begin'])
  const cookie = cookieOf(made)
  expect(cookie).toMatch(/^canemark=[\w-]{43}$/)
  const begin = await server.door('/begin', { headers: { cookie } })
  expect(await begin.text()).toContain('Load the demo')
  const [one, other] = await Promise.all([
    post(server, '/begin/demo', {}, cookie),
    post(server, '/begin/demo', {}, cookie),
  ])
  expect([one.status, other.status].sort()).toEqual([303, 422])
  const lots = await server.door('/lots', { headers: { cookie } })
  expect(await lots.text()).toMatch(/<caption>\d+ lots/)
  expect((await post(server, '/begin/demo', {}, cookie)).status).toBe(422)
  const after = await server.door('/begin', { headers: { cookie }, redirect: 'manual' })
  expect(after.headers.get('location')).toBe('/today')
  server.process.kill('SIGTERM')
  expect(await server.ended).toBe(0)
  expect(server.output).not.toContain(password)

  const again = await start({ CANEMARK_PROCESSES: '2' })
  expect(again.output).not.toContain('/first/')
  const signedIn = await post(again, '/sign-in', { signInName: 'ada', password })
  expect([signedIn.status, signedIn.headers.get('location')]).toEqual([303, '/today'])
  const still = await again.door('/me', { headers: { cookie } })
  expect(still.status).toBe(200)
  again.process.kill('SIGINT')
  expect(await again.ended).toBe(0)
}, 180_000)

it('says in one line why it does not start', async () => {
  const taken = createServer().listen(0, '127.0.0.1')
  await new Promise((resolve) => taken.once('listening', resolve))
  const { port } = taken.address() as AddressInfo
  await expect(start({ PORT: String(port) })).rejects.toThrow(
    /did not start: cannot listen on 127\.0\.0\.1:\d+: another program listens there/,
  )
  taken.close()
  await expect(start({ CANEMARK_ORIGIN: 'vines' })).rejects.toThrow(
    /Canemark did not start: CANEMARK_ORIGIN: "vines" is not the address of a server/,
  )
}, 120_000)
