// The phone's queue in a real browser: saving, sending ten thousand, the app's size, its start.
import { fileURLToPath } from 'node:url'
import { Hono } from 'hono'
import { chromium } from 'playwright-core'
import type { Page } from 'playwright-core'
import { newApp } from '../../api/app.ts'
import { deskDevice, confirmDevice } from '../../api/people/devices.ts'
import { beginEnrolment } from '../../api/people/enrolment.ts'
import { listen } from '../../api/platform/listen.ts'
import type { Env } from '../../api/platform/services.ts'
import { addScannerPages } from '../../api/sync/scanner-pages.ts'
import { connect } from '../../db/connect.ts'
import type { Database } from '../../db/connect.ts'
import { buildScanner } from '../../scanner/build.ts'
import type { Draft, Phone } from '../../scanner/phone.ts'
import { findChromium } from '../browser/chromium.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { idOf } from '../sim/season.ts'
import { printRatio } from './timing.ts'

const saved = 200
const queued = 10_000

type Globals = { phone: Phone }

const draft: Draft = {
  kind: 'graft.made',
  body: {
    vine: { rowId: idOf('row'), position: 1 },
    lotId: idOf('lot'),
    bundleId: null,
    from: { kind: 'holder', id: idOf('crew') },
    method: 'chip bud',
    budCount: 2,
    knifeId: null,
    tie: null,
    note: '',
  },
}

/** Prints the figures; nothing where there is no browser. */
export async function benchPhone(adminUrl: string): Promise<void> {
  await printSize()
  const program = findChromium()
  if (program === null) return console.log('no Chromium found: saving and sending not measured')
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const connected = connect(withDatabase(adminUrl, name), 'app')
  const { db } = connected
  const services = { db, clock: { now: () => new Date() }, deskDeviceId: await deskDevice(db) }
  const inner = newApp(services, () => Promise.resolve(null))
  const page = fileURLToPath(new URL('../scanner/inside/phone-page.ts', import.meta.url))
  const built = await buildScanner(page)
  const app = new Hono<Env>()
  addScannerPages(app, () => Promise.resolve(built))
  app.all('*', (c) => inner.fetch(c.req.raw, c.env))
  const server = await listen(app, '127.0.0.1', 0)
  const browser = await chromium.launch({ executablePath: program, args: ['--no-sandbox'] })
  try {
    const tab = await (await browser.newContext()).newPage()
    // tsx gives functions their names through this, also those that run in the page.
    await tab.addInitScript('globalThis.__name = (named) => named')
    await tab.goto(`http://127.0.0.1:${server.port}/scanner/`)
    await ready(tab)
    await enrol(tab, db, services.deskDeviceId)
    const saving = await timeSaving(tab)
    printRatio('save one entry, signed and strict (median)', saving.ours, saving.plain, 'plain put')
    await timeSending(tab)
    await timeStart(tab, () => server.stop())
  } finally {
    await browser.close()
    await server.stop()
    await connected.close()
    await asAdmin(adminUrl, `drop database ${name} with (force)`)
  }
}

async function printSize(): Promise<void> {
  const { files } = await buildScanner()
  const kB = (names: (name: string) => boolean) => {
    const chosen = [...files].filter(([name]) => names(name))
    return Math.round(chosen.reduce((sum, [, file]) => sum + (file.gzip?.length ?? 0), 0) / 1000)
  }
  const isDecoder = (name: string) => name === 'decode-worker.js' || name.endsWith('.wasm')
  const app = kB((name) => !isDecoder(name))
  console.log(`phone app: ${app} kB gzip without the decoder, decoder ${kB(isDecoder)} kB`)
}

const ready = (tab: Page) => tab.waitForFunction(() => 'phone' in globalThis)

async function enrol(tab: Page, db: Database, deskDeviceId: string): Promise<void> {
  const desk = { deviceId: deskDeviceId, personId: idOf('office'), now: new Date() }
  await db
    .insertInto('person')
    .values({ person_id: desk.personId, name: 'The office', role: 'office' })
    .execute()
  const given = { deviceName: 'Bench', madeBy: desk.personId, now: desk.now }
  const { code } = await beginEnrolment(db, given)
  const deviceId = await tab.evaluate(async (text) => {
    const { phone } = globalThis as unknown as Globals
    await phone.enrol(text)
    return phone.identity?.deviceId ?? ''
  }, code)
  await confirmDevice(db, desk, deviceId)
  await tab.evaluate(async (personId) => {
    const { phone } = globalThis as unknown as Globals
    await phone.change({ personId })
    await phone.sync()
  }, idOf('person'))
}

/** Medians in ms; the other side is a strict put of the same bytes with nothing around it. */
async function timeSaving(tab: Page): Promise<{ ours: number; plain: number }> {
  return tab.evaluate(
    async ([given, times]) => {
      const { phone } = globalThis as unknown as Globals
      const middle = async (run: () => Promise<unknown>) => {
        const taken: number[] = []
        for (let nr = 0; nr < times; nr += 1) {
          const began = performance.now()
          await run()
          taken.push(performance.now() - began)
        }
        return taken.sort((one, other) => one - other)[Math.floor(times / 2)] ?? 0
      }
      const ours = await middle(() => phone.write(given))
      const db = await new Promise<IDBDatabase>((resolve) => {
        const request = indexedDB.open('plain', 1)
        request.onupgradeneeded = () => {
          request.result.createObjectStore('entry', { autoIncrement: true })
        }
        request.onsuccess = () => resolve(request.result)
      })
      const text = JSON.stringify({ given, signature: 's'.repeat(86), rest: 'r'.repeat(200) })
      const plain = await middle(
        () =>
          new Promise<void>((resolve) => {
            const trx = db.transaction('entry', 'readwrite', { durability: 'strict' })
            trx.objectStore('entry').add({ text })
            trx.oncomplete = () => resolve()
          }),
      )
      return { ours, plain }
    },
    [draft, saved] as const,
  )
}

async function timeSending(tab: Page): Promise<void> {
  await tab.evaluate(
    async ([given, count]) => {
      const { phone } = globalThis as unknown as Globals
      const some = Array<Draft>(500).fill(given)
      for (let nr = 0; nr < count; nr += some.length) await phone.writeAll(some)
    },
    [draft, queued] as const,
  )
  const { ms, left } = await tab.evaluate(async () => {
    const { phone } = globalThis as unknown as Globals
    const began = performance.now()
    await phone.sync()
    return { ms: performance.now() - began, left: phone.unsent.count }
  })
  const perSecond = Math.round((queued / ms) * 1000)
  console.log(
    `${queued} queued entries sent in ${(ms / 1000).toFixed(1)} s, ${perSecond} entries/s; ` +
      `${left} left`,
  )
}

/** From opening the address until an entry can be written: with the server, and without. */
async function timeStart(tab: Page, stop: () => Promise<void>): Promise<void> {
  await tab.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
  const open = async () => {
    const began = performance.now()
    await tab.reload()
    await ready(tab)
    return performance.now() - began
  }
  await open()
  const online = await open()
  await stop()
  printRatio('start until an entry can be written, offline', await open(), online, 'online')
}
