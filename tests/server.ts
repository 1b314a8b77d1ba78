// Chooses the database server for tests and benches: a given one, a container, or the embedded one.
import { chmod, mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { randomBytes } from 'node:crypto'
import pg from 'pg'
import { connect } from '../db/connect.ts'
import { migrate } from '../db/migrate.ts'
import { ensureRoles } from '../db/roles.ts'

/** A running server: how to reach it as its administrator, what it is, how to let it go. */
export type Server = { adminUrl: string; engine: string; stop: () => Promise<void> }

/** Makes an empty, migrated database on the server and returns its name. */
export async function migratedDatabase(adminUrl: string, prefix: string): Promise<string> {
  const name = `${prefix}_${randomBytes(6).toString('hex')}`
  await ensureRoles(adminUrl)
  await asAdmin(adminUrl, `create database ${name} owner canemark_owner`)
  const owner = connect(withDatabase(adminUrl, name), 'owner', { max: 1 })
  await migrate(owner.db)
  await owner.close()
  return name
}

/** TEST_DATABASE_URL, else a container if an engine answers, else the embedded PostgreSQL. */
export async function chooseServer(): Promise<Server> {
  const url = process.env.TEST_DATABASE_URL
  if (url !== undefined && url !== '') {
    return { adminUrl: url, engine: 'the PostgreSQL of TEST_DATABASE_URL', stop: async () => {} }
  }
  return (await fromContainer()) ?? (await fromEmbedded())
}

async function fromContainer(): Promise<Server | null> {
  const { getContainerRuntimeClient } = await import('testcontainers')
  try {
    await getContainerRuntimeClient()
  } catch {
    return null
  }
  const { PostgreSqlContainer } = await import('@testcontainers/postgresql')
  const container = await new PostgreSqlContainer('postgres:18-alpine').start()
  return {
    adminUrl: container.getConnectionUri(),
    engine: 'PostgreSQL 18 in a container',
    stop: async () => void (await container.stop()),
  }
}

async function fromEmbedded(): Promise<Server> {
  const dataFolder = await mkdtemp(join(tmpdir(), 'canemark-tests-'))
  await chmod(dataFolder, 0o711)
  const { openEmbedded } = await import('../db/embedded/open.ts')
  const embedded = await openEmbedded({ dataFolder })
  return {
    adminUrl: embedded.urls.admin,
    engine: 'the embedded PostgreSQL',
    stop: async () => {
      await embedded.stop()
      await rm(dataFolder, { recursive: true, force: true })
    },
  }
}

/** Runs one statement as the administrator of the server. */
export async function asAdmin(url: string, statement: string): Promise<void> {
  const client = new pg.Client({ connectionString: url })
  await client.connect()
  try {
    await client.query(statement)
  } finally {
    await client.end()
  }
}

/** The same server, another database. */
export function withDatabase(url: string, name: string): string {
  const other = new URL(url)
  other.pathname = `/${name}`
  return other.href
}
