// A served office with real devices, whose network can be broken in the ways that networks break.
import type { AddressInfo } from 'node:net'
import { fileURLToPath } from 'node:url'
import { serve } from '@hono/node-server'
import { Hono } from 'hono'
import { sql } from 'kysely'
import { confirmDevice, revokeDevice } from '../../../api/people/devices.ts'
import { beginEnrolment } from '../../../api/people/enrolment.ts'
import type { Env } from '../../../api/platform/services.ts'
import { addScannerPages } from '../../../api/sync/scanner-pages.ts'
import { buildScanner } from '../../../scanner/build.ts'
import type { BuiltScanner } from '../../../scanner/build.ts'
import { officeApp } from '../../office-app.ts'
import type { OfficeApp } from '../../office-app.ts'

/** Stands between phone and app: sees a request, asks the app or does not, and answers. */
export type Trouble = (request: Request, ask: () => Promise<Response>) => Promise<Response>

const noTrouble: Trouble = (_, ask) => ask()
const pageFile = (name: string) => fileURLToPath(new URL(name, import.meta.url))

/** What stands in the journal about one device. */
export type Journalled = { id: string; device_counter: number; canonical: Buffer }

export class PhoneOffice {
  /** Set by a test; every request to the API goes through it. */
  trouble: Trouble = noTrouble
  /** The version of the app that is served. */
  build: BuiltScanner
  readonly office: OfficeApp
  readonly #outer = new Hono<Env>()
  #server: ReturnType<typeof serve> | null = null
  #port = 0

  private constructor(office: OfficeApp, build: BuiltScanner) {
    this.office = office
    this.build = build
    addScannerPages(this.#outer, () => Promise.resolve(this.build))
    this.#outer.all('*', (c) => {
      const ask = () => Promise.resolve(office.app.fetch(c.req.raw, c.env))
      return c.req.path.startsWith('/api/') ? this.trouble(c.req.raw, ask) : ask()
    })
  }

  static async open(): Promise<PhoneOffice> {
    const [office, build] = await Promise.all([officeApp(), builtPage('./phone-page.ts')])
    const opened = new PhoneOffice(office, build)
    await opened.start()
    return opened
  }

  get url(): string {
    return `http://127.0.0.1:${this.#port}`
  }

  /** Listens, on the same port as before. */
  async start(): Promise<void> {
    this.#server = await new Promise<ReturnType<typeof serve>>((resolve) => {
      const options = { fetch: this.#outer.fetch, hostname: '127.0.0.1', port: this.#port }
      const started = serve(options, () => resolve(started))
    })
    this.#port = (this.#server.address() as AddressInfo).port
  }

  /** Is gone from the network from now on; answers under way are cut off. */
  async stop(): Promise<void> {
    const server = this.#server
    this.#server = null
    if (server === null) return
    await new Promise<void>((resolve) => {
      server.close(() => resolve())
      if ('closeAllConnections' in server) server.closeAllConnections()
    })
  }

  async close(): Promise<void> {
    await this.stop()
    await this.office.drop()
  }

  /** A code as the office shows it. */
  async code(deviceName = 'Phone of row crew 1'): Promise<string> {
    const { services, person } = this.office
    const given = { deviceName, madeBy: person.personId, now: services.clock.now() }
    return (await beginEnrolment(services.db, given)).code
  }

  confirm(deviceId: string): Promise<void> {
    return confirmDevice(this.office.services.db, this.#desk(), deviceId)
  }

  revoke(deviceId: string): Promise<void> {
    return revokeDevice(this.office.services.db, this.#desk(), deviceId, 'lost in the lower block')
  }

  /** The journal of one device, in the order of its counters. */
  async journal(deviceId: string): Promise<Journalled[]> {
    const rows = await sql<Journalled>`select id, device_counter, canonical from entry
      where device_id = ${deviceId} order by device_counter`.execute(this.office.services.db)
    return rows.rows
  }

  /** What the server keeps aside from this device. */
  async aside(deviceId: string): Promise<{ problem_code: string; raw: string }[]> {
    const rows = await sql<{ problem_code: string; raw: string }>`
      select problem_code, convert_from(raw, 'UTF8') as raw from set_aside
      where device_id = ${deviceId} order by set_aside_id`.execute(this.office.services.db)
    return rows.rows
  }

  #desk() {
    const { services, person } = this.office
    const { personId } = person
    return { deviceId: services.deskDeviceId, personId, now: services.clock.now() }
  }
}

/** The app with one of the pages of this folder in place of the screens. */
export function builtPage(name: './phone-page.ts' | './phone-page-newer.ts') {
  return buildScanner(pageFile(name))
}

/** Troubles on the way to `POST /api/entries`; anything else is answered as it should be. */
const onlyPushes =
  (trouble: Trouble): Trouble =>
  (request, ask) =>
    request.url.endsWith('/api/entries') ? trouble(request, ask) : ask()

export const troubles = {
  none: noTrouble,
  /** A sign-in page of somebody's network, with a friendly 200. */
  html: onlyPushes(async () => {
    const headers = { 'content-type': 'text/html' }
    return new Response('<html><body>Welcome to the guest network', { headers })
  }),
  /** A 200 of the right type that is no answer of ours. */
  strangeJson: onlyPushes(async () => Response.json({ ok: true })),
  serverError: onlyPushes(async () => new Response('oops', { status: 500 })),
  /** The server takes the batch in; its answer breaks off in the middle. */
  halfAnswer: onlyPushes(async (_, ask) => {
    const text = await (await ask()).text()
    const headers = { 'content-type': 'application/json' }
    return new Response(text.slice(0, Math.floor(text.length / 2)), { headers })
  }),
  /** The server takes the batch in, and tells of half of the entries only. */
  halfTheResults: onlyPushes(async (_, ask) => {
    const answer = (await (await ask()).json()) as { results: unknown[] }
    const results = answer.results.slice(0, Math.floor(answer.results.length / 2))
    return Response.json({ ...answer, results })
  }),
  /** The server takes the batch in; the answer is lost. */
  lostAnswer: onlyPushes(async (_, ask) => {
    await ask()
    return new Response('', { status: 502 })
  }),
} as const
