// The three roles can be made on any server, by many at once, and never with too much power.
import pg from 'pg'
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest'
import { type EmbeddedDatabase, openEmbedded } from '../../db/embedded/open.ts'
import { ensureRoles } from '../../db/roles.ts'
import { ask, clearAway, newFolder } from './embedded-processes.ts'

// A server of our own: roles belong to the whole server, and other tests use those of theirs.
let database: EmbeddedDatabase
let admin: string
const databaseNames = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight']

beforeAll(async () => {
  database = await openEmbedded({ dataFolder: await newFolder() })
  admin = inDatabase(database.urls.admin, 'postgres')
  for (const name of databaseNames) await ask(admin, `CREATE DATABASE ${name}`)
  await ask(admin, 'DROP DATABASE canemark')
})
afterAll(async () => {
  await database.stop()
  await clearAway()
})
beforeEach(async () => {
  await ask(admin, 'DROP ROLE IF EXISTS canemark_owner, canemark_app, canemark_reader')
})

const roleRows = () =>
  ask(
    admin,
    `SELECT rolname, rolcanlogin, rolsuper, rolcreatedb, rolcreaterole, rolreplication,
       rolbypassrls FROM pg_roles WHERE rolname ~ '^canemark_(owner|app|reader)$' ORDER BY 1`,
  )
const expectedRows = ['canemark_app', 'canemark_owner', 'canemark_reader'].map((name) => [
  name,
  'true',
  ...Array<string>(5).fill('false'),
])

test('the roles can log in and nothing more, and asking again changes nothing', async () => {
  await ensureRoles(admin)
  expect(await roleRows()).toEqual(expectedRows)
  const identifiers = 'SELECT oid, xmin FROM pg_authid ORDER BY oid'
  const before = await ask(admin, identifiers)
  await ensureRoles(admin)
  expect(await ask(admin, identifiers)).toEqual(before)
})

test('sixteen callers in eight databases at once all succeed, with passwords too', async () => {
  for (let round = 0; round < 5; round += 1) {
    await ask(admin, 'DROP ROLE IF EXISTS canemark_owner, canemark_app, canemark_reader')
    const calls = [...databaseNames, ...databaseNames].map((name) =>
      ensureRoles(inDatabase(admin, name), { owner: 'o', app: 'a', reader: 'r' }),
    )
    const results = await Promise.allSettled(calls)
    expect(results.filter((result) => result.status === 'rejected')).toEqual([])
    expect(await roleRows()).toEqual(expectedRows)
  }
  const app = new URL(inDatabase(admin, 'one'))
  app.username = 'canemark_app'
  app.password = 'a'
  expect(await ask(app.href, 'SELECT current_user')).toEqual([['canemark_app']])
})

test('an administrator who may only create roles can act as each of them', async () => {
  await ask(admin, `CREATE ROLE steward LOGIN CREATEROLE PASSWORD 's'`)
  const steward = new URL(admin)
  steward.username = 'steward'
  steward.password = 's'
  const client = new pg.Client({ connectionString: steward.href })
  client.on('error', () => undefined)
  await client.connect()
  await ensureRoles(client)
  for (const role of ['canemark_owner', 'canemark_app', 'canemark_reader']) {
    await client.query(`SET ROLE ${role}`)
    const { rows } = await client.query<{ name: string }>('SELECT current_user AS name')
    expect(rows[0]?.name).toBe(role)
    await client.query('RESET ROLE')
  }
  await client.end()
})

test('a role that somebody has made a superuser is refused with how to mend it', async () => {
  await ask(admin, 'CREATE ROLE canemark_app LOGIN SUPERUSER')
  await expect(ensureRoles(admin)).rejects.toThrow(/ALTER ROLE canemark_app NOSUPERUSER/)
  await ask(admin, 'ALTER ROLE canemark_app NOSUPERUSER')
  await ensureRoles(admin)
  expect(await roleRows()).toEqual(expectedRows)
})

function inDatabase(url: string, name: string): string {
  const other = new URL(url)
  other.pathname = `/${name}`
  return other.href
}
