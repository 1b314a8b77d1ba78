// `npm start`: opens the database, serves the office and the machine API, and stops cleanly.
import { serve } from '@hono/node-server'
import { openDatabase } from '../db/choose.ts'
import { loadDemo } from '../seed/load.ts'
import { newApp } from './app.ts'
import { personOfCookie } from './office/sign-in/session-cookie.ts'
import { deskDevice } from './people/devices.ts'
import { makeFirstLink } from './people/first-run.ts'
import { systemClock } from './platform/clock.ts'
import { plainDoors, proxyList } from './platform/doors.ts'

const host = process.env.HOST ?? '127.0.0.1'
const port = Number(process.env.PORT ?? 8720)

const database = await openDatabase(process.env, (line) => console.log(line))
const { db } = database.app
const services = { db, clock: systemClock, deskDeviceId: await deskDevice(db) }
const doors = plainDoors({
  publicOrigin: process.env.CANEMARK_ORIGIN ?? null,
  isProxy: proxyList(process.env.CANEMARK_PROXIES ?? ''),
  loadDemo: async () => {
    await loadDemo(db, (path, init) => app.request(path, init), systemClock.now())
  },
})
const app = newApp(services, personOfCookie, doors)

const server = serve({ fetch: app.fetch, hostname: host, port }, () => {
  console.log(`Canemark is at http://${host}:${port}, on ${database.describe}`)
})
server.on('error', (error) => {
  console.error(`cannot listen on ${host}:${port}: ${error.message}; set PORT to another port`)
  void stop(1)
})

const token = await makeFirstLink(db, systemClock.now())
if (token !== null) {
  console.log('Nobody is an administrator yet. Open this link within 24 hours; it works once:')
  console.log(`  http://${host}:${port}/first/${token}`)
}

let stopping = false
async function stop(code: number): Promise<void> {
  if (stopping) return
  stopping = true
  await new Promise((resolve) => server.close(resolve))
  await database.close()
  process.exit(code)
}
for (const signal of ['SIGTERM', 'SIGINT'] as const) process.on(signal, () => void stop(0))
void database.lost.then((error) => {
  console.error(`the database ended: ${error.message}`)
  process.exit(1)
})
