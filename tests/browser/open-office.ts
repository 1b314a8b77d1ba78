// A served office on an empty database, entered through the first administrator's link.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { Browser } from 'playwright-core'
import { newApp } from '../../api/app.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { deskDevice } from '../../api/people/devices.ts'
import { makeFirstLink } from '../../api/people/first-run.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import { readProofSettings } from '../../api/platform/proof-settings.ts'
import type { Services } from '../../api/platform/services.ts'
import { loadDemo } from '../../seed/load.ts'
import { freshDatabase } from '../database.ts'
import { serveApp } from './chromium.ts'
import { DeskDriver } from './desk-driver.ts'

export type OpenOffice = {
  desk: DeskDriver
  services: Services
  /** Lets the office's clock stand at another time, and signs in again. */
  goOnAt: (time: string) => Promise<void>
  close: () => Promise<void>
}

/** Serves it with the clock standing at `time`, and makes the first administrator in `browser`. */
export async function openOffice(browser: Browser, time: string): Promise<OpenOffice> {
  let now = new Date(time)
  const database = await freshDatabase()
  const { db } = database.app
  const keys = await mkdtemp(path.join(tmpdir(), 'canemark-keys-'))
  const proof = readProofSettings({ CANEMARK_KEYS: keys })
  const services = { db, clock: { now: () => now }, deskDeviceId: await deskDevice(db), proof }
  const doors = plainDoors({
    loadDemo: async () => {
      await loadDemo(db, (path, init) => app.request(path, init), now)
    },
  })
  const app = newApp(services, personOfCookie, doors)
  const serving = await serveApp(app)
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } })
  const desk = new DeskDriver(await context.newPage(), serving.url)
  await desk.open(`/first/${await makeFirstLink(db, now)}`)
  const password = 'seven slow wagons'
  const words = { name: 'Tessa Arden', signInName: 'tessa', password, again: password }
  await desk.send(words, /Begin/)
  const close = async () => {
    await context.close()
    await serving.stop()
    await database.drop()
    await rm(keys, { recursive: true, force: true })
  }
  const goOnAt = async (later: string) => {
    now = new Date(later)
    await context.clearCookies()
    await desk.open('/sign-in')
    await desk.send({ signInName: 'tessa', password }, /Sign in/)
  }
  return { desk, services, goOnAt, close }
}
