// Finds a TCP port on 127.0.0.1 for the server, the one of last time when it is still free.
import { readFile, writeFile } from 'node:fs/promises'
import { createServer } from 'node:net'
import { type Account, giveToFolderOwner } from './account.ts'
import { EmbeddedDatabaseError, inWords } from './errors.ts'
import type { Layout } from './folder.ts'

/** The port this folder used last, when free; else any free one. */
export async function choosePort(layout: Layout): Promise<number> {
  const text = await readFile(layout.portFile, 'utf8').catch(() => '')
  const last = Number(text.trim())
  if (Number.isInteger(last) && last >= 1024 && last <= 65_535) {
    const free = await tryPort(last)
    if (free !== null) return free
  }
  return anyFreePort()
}

/** A port that is free at this moment. Throws `port_taken` when the system gives none. */
export async function anyFreePort(): Promise<number> {
  const port = await tryPort(0)
  if (port !== null) return port
  throw new EmbeddedDatabaseError(
    'port_taken',
    `No TCP port is free on 127.0.0.1 for the database. Close other programs and try again.`,
  )
}

/** Remembers the port for the next start. */
export async function rememberPort(layout: Layout, account: Account, port: number) {
  try {
    await writeFile(layout.portFile, `${port}\n`)
    await giveToFolderOwner(layout.portFile, account)
  } catch (error) {
    throw inWords(error, layout.dataFolder)
  }
}

function tryPort(port: number): Promise<number | null> {
  return new Promise((resolve) => {
    const trial = createServer()
    trial.once('error', () => resolve(null))
    trial.listen({ port, host: '127.0.0.1', exclusive: true }, () => {
      const address = trial.address()
      const given = typeof address === 'object' && address ? address.port : null
      trial.close(() => resolve(given))
    })
  })
}
