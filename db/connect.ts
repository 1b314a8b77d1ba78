// Opens pooled connections to Postgres under one of the three roles.
import { Kysely, PostgresDialect } from 'kysely'
import pg from 'pg'
import type { Tables } from './tables.ts'

/** owner: migrates and rebuilds. app: writes entries and facts. reader: only reads. */
export type Role = 'owner' | 'app' | 'reader'

export type Database = Kysely<Tables>

/** An open database: the query builder, its pool, and how to close both. */
export type Connected = { db: Database; pool: pg.Pool; close: () => Promise<void> }

const connectionLimit = 12
const idleMs = 30_000
const connectWaitMs = 10_000
const statementMs = 60_000
const lockMs = 20_000

/** How many connections at most, and how many milliseconds a request waits for a free one. */
export type PoolOptions = { max?: number; waitMs?: number }

/**
 * Connects to `url` and takes the role given, whoever the login is, for every connection.
 * bigint columns arrive as numbers and a number beyond 2^53 - 1 is an error, decided here once;
 * dates (without time) arrive as text, times as Date.
 */
export function connect(url: string, role: Role, options: PoolOptions = {}): Connected {
  const unlimited = role === 'owner'
  const pool = new pg.Pool({
    connectionString: url,
    max: options.max ?? connectionLimit,
    idleTimeoutMillis: idleMs,
    connectionTimeoutMillis: options.waitMs ?? connectWaitMs,
    application_name: `canemark ${role}`,
    options:
      `-c role=canemark_${role} -c timezone=UTC -c search_path=public` +
      ` -c statement_timeout=${unlimited ? 0 : statementMs} -c lock_timeout=${lockMs}` +
      // Compiling takes longer than any of our queries runs, and estimates of recursion ask for it.
      ' -c jit=off',
    types: { getTypeParser: parserFor },
  })
  let isClosing = false
  pool.on('error', (error) => {
    // The pool lets go before its last connections have ended: then their end is no news.
    if (!isClosing) console.error(`idle database connection lost: ${error.message}`)
  })
  pool.on('connect', (client) => {
    // Without this, a server that ends between two queries of a transaction would end Node itself.
    // The next query on this connection fails, and the pool lets go of it.
    client.on('error', () => undefined)
  })
  const db = new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) })
  const close = async () => {
    isClosing = true
    await db.destroy()
    // The query builder leaves a pool alone that it never asked anything.
    if (!pool.ending) await pool.end()
  }
  return { db, pool, close }
}

const int8 = 20
const date = 1082

function parserFor(oid: number, format?: 'text' | 'binary') {
  if (oid === int8) return readSafeInteger
  if (oid === date) return (text: string) => text
  return format === 'binary'
    ? pg.types.getTypeParser(oid, 'binary')
    : pg.types.getTypeParser(oid, 'text')
}

function readSafeInteger(text: string): number {
  const value = Number(text)
  if (!Number.isSafeInteger(value)) throw new Error(`bigint ${text} is beyond 2^53 - 1`)
  return value
}
