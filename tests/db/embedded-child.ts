// A process of its own that opens a data folder: holds it, leaves it in some way, or writes to it.
import { openSync, writeSync } from 'node:fs'
import { createInterface } from 'node:readline'
import path from 'node:path'
import pg from 'pg'
import { openEmbedded } from '../../db/embedded/open.ts'
import type { EmbeddedDatabase } from '../../db/embedded/open.ts'
import { EmbeddedDatabaseError } from '../../db/embedded/errors.ts'

const [dataFolder = '', mode = 'hold', round = '0'] = process.argv.slice(2)
const writerCount = 4

try {
  const log = (line: string) => say({ event: 'log', line })
  const database = await openEmbedded({ dataFolder, log })
  say({ event: 'open', urls: database.urls, pid: process.pid })
  database.lost.then(
    (error) => say({ event: 'lost', code: error.code, message: error.message }),
    () => undefined,
  )
  await behave(database)
} catch (error) {
  if (!(error instanceof EmbeddedDatabaseError)) throw error
  say({ event: 'refused', code: error.code, message: error.message })
}

async function behave(database: EmbeddedDatabase): Promise<void> {
  if (mode === 'leave') return
  if (mode === 'exit') process.exit(0)
  if (mode === 'throw') throw new Error('an error nobody catches')
  if (mode === 'write') return write(database)
  for await (const line of createInterface({ input: process.stdin })) {
    if (line !== 'stop') continue
    await database.stop()
    say({ event: 'stopped' })
    process.stdin.destroy()
    return
  }
}

/**
 * Writes ids on four connections until killed. Each id is noted in a file before it is sent and
 * in another after the server has acknowledged it; what write(2) took survives our death.
 */
async function write(database: EmbeddedDatabase): Promise<void> {
  const sent = openSync(path.join(dataFolder, 'sent.log'), 'a')
  const acknowledged = openSync(path.join(dataFolder, 'acknowledged.log'), 'a')
  const owner = new pg.Client({ connectionString: database.urls.owner })
  await owner.connect()
  await owner.query('CREATE TABLE IF NOT EXISTS entry (id text PRIMARY KEY)')
  await owner.query('GRANT INSERT ON entry TO canemark_app')
  await owner.end()
  const writer = async (number: number) => {
    const client = new pg.Client({ connectionString: database.urls.app })
    await client.connect()
    for (let counter = 0; ; counter += 1) {
      const id = `${round}-${number}-${counter}`
      writeSync(sent, `${id}\n`)
      await client.query('INSERT INTO entry (id) VALUES ($1)', [id])
      writeSync(acknowledged, `${id}\n`)
    }
  }
  await Promise.all(Array.from({ length: writerCount }, (_, number) => writer(number)))
}

function say(message: object): void {
  process.stdout.write(`${JSON.stringify(message)}\n`)
}
