// The whole app on a fresh database, with one person signed in, for tests of pages and routes.
import type { Hono } from 'hono'
import { newApp } from '../api/app.ts'
import { newId } from '../api/platform/clock.ts'
import type { CurrentPerson, Env, Services } from '../api/platform/services.ts'
import { recordAtDesk } from '../api/journal/desk.ts'
import type { Draft } from '../api/journal/desk.ts'
import { freshDatabase } from './database.ts'
import type { TestDatabase } from './database.ts'

export type OfficeApp = {
  app: Hono<Env>
  database: TestDatabase
  services: Services
  person: CurrentPerson
  /** Records entries at the desk, as the signed-in person. */
  record: (drafts: Draft[]) => Promise<string[]>
  /** Posts a form as a browser would, from the same origin. */
  post: (path: string, fields: Record<string, string | string[]>) => Promise<Response>
  drop: () => Promise<void>
}

/** Builds it; `now` makes the clock stand still. */
export async function officeApp(now?: Date): Promise<OfficeApp> {
  const database = await freshDatabase()
  const { db } = database.app
  const clock = { now: () => now ?? new Date() }
  const person: CurrentPerson = {
    personId: newId(),
    name: 'Tessa Arden',
    role: 'administrator',
    provenAt: clock.now(),
  }
  const deskDeviceId = newId()
  await db
    .insertInto('person')
    .values({ person_id: person.personId, name: person.name, role: person.role })
    .execute()
  await db.insertInto('device').values({ device_id: deskDeviceId, name: 'Office desk' }).execute()
  const services: Services = { db, clock, deskDeviceId }
  const app = newApp(services, async () => person)
  const record = (drafts: Draft[]) =>
    recordAtDesk(
      db,
      { deviceId: deskDeviceId, personId: person.personId, now: clock.now() },
      drafts,
    )
  const post = async (path: string, fields: Record<string, string | string[]>) => {
    const body = new URLSearchParams()
    for (const [name, value] of Object.entries(fields)) {
      for (const item of Array.isArray(value) ? value : [value]) body.append(name, item)
    }
    return app.request(`http://localhost${path}`, {
      method: 'POST',
      body,
      headers: { origin: 'http://localhost' },
    })
  }
  return { app, database, services, person, record, post, drop: database.drop }
}
