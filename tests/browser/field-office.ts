// A served office with a nursery in it, for phones that work there; it can be out of reach.
import type { AddressInfo } from 'node:net'
import { serve } from '@hono/node-server'
import type { Hono } from 'hono'
import { sql } from 'kysely'
import { newApp } from '../../api/app.ts'
import { recordAtDesk } from '../../api/journal/desk.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { makeAuditLink, openAuditLink } from '../../api/people/audit-links.ts'
import { confirmDevice, deskDevice } from '../../api/people/devices.ts'
import { beginEnrolment } from '../../api/people/enrolment.ts'
import { makeFirstAdministrator, makeFirstLink } from '../../api/people/first-run.ts'
import { addPersonWithRole } from '../../api/people/people.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import type { Env, Services } from '../../api/platform/services.ts'
import type { TestDatabase } from '../database.ts'
import { fieldDrafts } from './field-nursery.ts'

/** An entry as the journal holds it. */
export interface Journalled {
  readonly id: string
  readonly kind: string
  readonly deviceCounter: number
  readonly body: Record<string, unknown>
}

/** What it needs of a database: the app's connection, and how to throw it away. */
type FieldDatabase = Pick<TestDatabase, 'app' | 'drop'>

/** Who grafts, and who gets wood. */
export const GRAFTER = 'Marta Ruiz'
export const HELPER = 'Ilse Brandt'

export class FieldOffice {
  readonly services: Services
  readonly grafterId: string
  readonly #database: FieldDatabase
  readonly #app: Hono<Env>
  readonly #administrator: string
  #server: ReturnType<typeof serve> | null = null
  #port = 0

  private constructor(made: Made) {
    this.services = made.services
    this.grafterId = made.grafterId
    this.#database = made.database
    this.#app = made.app
    this.#administrator = made.administrator
  }

  /** Opens it on an empty database, with the nursery recorded; it listens. */
  static async open(database: FieldDatabase): Promise<FieldOffice> {
    const { db } = database.app
    const now = new Date()
    const services = { db, clock: { now: () => new Date() }, deskDeviceId: await deskDevice(db) }
    const app = newApp(services, personOfCookie, plainDoors())
    const password = 'seven slow wagons'
    const link = (await makeFirstLink(db, now)) ?? ''
    const first = { name: 'Tessa Arden', signInName: 'tessa', password, now }
    const administrator = await makeFirstAdministrator(db, link, first)
    const crew = (name: string, signInName: string) =>
      addPersonWithRole(db, { name, role: 'crew', signInName })
    const grafterId = await crew(GRAFTER, 'marta')
    await crew(HELPER, 'ilse')
    const desk = { deviceId: services.deskDeviceId, personId: administrator, now }
    await recordAtDesk(db, desk, fieldDrafts(now, grafterId))
    const office = new FieldOffice({ services, database, app, administrator, grafterId })
    await office.start()
    return office
  }

  get url(): string {
    return `http://127.0.0.1:${this.#port}`
  }

  /** Listens, on the same port as before. */
  async start(): Promise<void> {
    this.#server = await new Promise<ReturnType<typeof serve>>((resolve) => {
      const options = { fetch: this.#app.fetch, hostname: '127.0.0.1', port: this.#port }
      const started = serve(options, () => resolve(started))
    })
    this.#port = (this.#server.address() as AddressInfo).port
  }

  /** Cannot be reached from now on. */
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
    await this.#database.drop()
  }

  /** A code to enrol a phone by, as the office shows it. */
  async enrolCode(deviceName: string): Promise<string> {
    const { db, clock } = this.services
    const given = { deviceName, madeBy: this.#administrator, now: clock.now() }
    return (await beginEnrolment(db, given)).code
  }

  /** The office has compared the fingerprints of every phone that waits. */
  async letIn(): Promise<void> {
    const { db, clock, deskDeviceId } = this.services
    const desk = { deviceId: deskDeviceId, personId: this.#administrator, now: clock.now() }
    const waiting = await sql<{ device_id: string }>`
      select device_id from device where kind = 'phone' and confirmed_at is null`.execute(db)
    for (const { device_id } of waiting.rows) await confirmDevice(db, desk, device_id)
  }

  /** What stands in the journal from phones, in the order of their counters. */
  async fromPhones(): Promise<Journalled[]> {
    const rows = await sql<{ text: string }>`
      select convert_from(canonical, 'UTF8') as text from entry
      where device_id <> ${this.services.deskDeviceId} order by device_id, device_counter`.execute(
      this.services.db,
    )
    return rows.rows.map(({ text }) => JSON.parse(text) as Journalled)
  }

  /** How many photos have come in beside entries. */
  async photoCount(): Promise<number> {
    const { db } = this.services
    const rows = await sql<{ count: number }>`select count(*)::int as count from photo`.execute(db)
    return rows.rows[0]?.count ?? 0
  }

  /** A page as an auditor sees it to whom one lot was opened. */
  async asAuditor(lotId: string, path: string): Promise<string> {
    const { db, clock } = this.services
    const now = clock.now()
    const expiresAt = new Date(now.getTime() + 86_400_000)
    const scope = [{ kind: 'lot' as const, lotId }]
    const link = { auditorName: 'R. Pell', expiresAt, scope }
    const { token } = await makeAuditLink(db, link, { personId: this.#administrator, now })
    const cookie = `canemark=${await openAuditLink(db, token, { browser: 'a test', now })}`
    const response = await this.#app.request(`http://localhost${path}`, { headers: { cookie } })
    return response.text()
  }
}

interface Made {
  readonly services: Services
  readonly database: FieldDatabase
  readonly app: Hono<Env>
  readonly administrator: string
  readonly grafterId: string
}
