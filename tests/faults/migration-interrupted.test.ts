// A migration that is killed half way leaves nothing behind, and the next start completes it.
import { spawn } from 'node:child_process'
import { randomBytes } from 'node:crypto'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import pg from 'pg'
import { afterAll, beforeAll, describe, expect, inject, it } from 'vitest'
import { connect } from '../../db/connect.ts'
import { migrate, pendingMigrations } from '../../db/migrate.ts'
import { describeSchema } from '../../db/describe-schema.ts'
import { ensureRoles } from '../../db/roles.ts'
import { asAdmin, withDatabase } from '../server.ts'

const repository = path.resolve(import.meta.dirname, '../..')
const name = `canemark_half_${randomBytes(6).toString('hex')}`
const admin = inject('adminUrl')
const url = withDatabase(admin, name)

beforeAll(async () => {
  await ensureRoles(admin)
  await asAdmin(admin, `create database ${name} owner canemark_owner`)
})
afterAll(() => asAdmin(admin, `drop database if exists ${name} with (force)`))

async function askAdmin<T extends pg.QueryResultRow>(text: string): Promise<T[]> {
  const client = new pg.Client({ connectionString: url })
  await client.connect()
  try {
    return (await client.query<T>(text)).rows
  } finally {
    await client.end()
  }
}

const tables = () =>
  askAdmin<{ relname: string }>(
    `select relname from pg_class where relnamespace = 'public'::regnamespace
     and relkind in ('r', 'v', 'S') and relname not like 'kysely%' order by 1`,
  )

/** Migrates in a process of its own; it waits where another session holds a lock. */
function startMigrating() {
  const text =
    `import { connect } from './db/connect.ts'; import { migrate } from './db/migrate.ts'\n` +
    `const owner = connect(process.env.TARGET, 'owner', { max: 2 })\n` +
    `await migrate(owner.db); await owner.close()`
  const args = ['--import', 'tsx', '--input-type=module', '-e', text]
  const child = spawn(process.execPath, args, {
    cwd: repository,
    env: { PATH: process.env.PATH, TARGET: url },
    stdio: ['ignore', 'inherit', 'inherit'],
  })
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()))
  return { child, ended }
}

describe('a migration killed half way', () => {
  // Where it is stopped: at the first trigger, the first view and the first function.
  it.each(['pg_trigger', 'pg_rewrite', 'pg_proc'])(
    'while it waits for %s has changed nothing, although it had begun',
    async (catalog) => {
      const holder = new pg.Client({ connectionString: url })
      await holder.connect()
      await holder.query('begin')
      await holder.query(`lock table pg_catalog.${catalog} in exclusive mode`)
      const { child, ended } = startMigrating()
      const waiting = `select pid from pg_stat_activity where datname = '${name}'
        and application_name = 'canemark owner' and wait_event_type = 'Lock'`
      while ((await askAdmin(waiting)).length === 0) await sleep(20)
      child.kill('SIGKILL')
      await ended
      await holder.query('rollback')
      await holder.end()
      const left = `select pid from pg_stat_activity where datname = '${name}'
        and application_name = 'canemark owner'`
      while ((await askAdmin(left)).length > 0) await sleep(20)
      expect(await tables()).toEqual([])
    },
  )

  it('is done whole by the next start, with the tables of any other database', async () => {
    const owner = connect(url, 'owner', { max: 2 })
    const other = connect(withDatabase(admin, inject('template')), 'owner', { max: 1 })
    try {
      expect((await pendingMigrations(owner.db)).length).toBeGreaterThan(5)
      expect((await migrate(owner.db)).length).toBeGreaterThan(5)
      expect(await pendingMigrations(owner.db)).toEqual([])
      expect(await describeSchema(owner.db)).toEqual(await describeSchema(other.db))
      expect((await tables()).length).toBeGreaterThan(40)
    } finally {
      await owner.close()
      await other.close()
    }
  })
})
