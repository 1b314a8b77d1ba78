// Deals with what an earlier run left: a server without its Node process, or a stale pid file.
import { rm } from 'node:fs/promises'
import { EmbeddedDatabaseError } from './errors.ts'
import type { Layout } from './folder.ts'
import { postmasterFileOf, readPostmasterFile, requestStop, servesCluster } from './postmaster.ts'
import { look, waitUntilGone } from './processes.ts'
import type { ServerPlan } from './programs.ts'

const fastStopMs = 120_000
const immediateStopMs = 30_000

/**
 * Makes the cluster free for a new server. The caller holds the claim on the folder, so no live
 * Node process owns a server that still runs: it is stopped cleanly and waited for. A pid file
 * whose process id now belongs to some other program is removed, because PostgreSQL itself would
 * refuse to start next to it. Throws `server_still_running`.
 */
export async function clearPreviousServer(plan: ServerPlan): Promise<void> {
  const { layout, engine, context, log } = plan
  const found = await readPostmasterFile(layout.database)
  if (!found) return
  const pidFile = postmasterFileOf(layout.database)
  if (found.pid === null) {
    log(`removing ${pidFile}: it is empty, left by a crash of the machine`)
    return rm(pidFile, { force: true })
  }
  const seen = await look(found.pid)
  // PostgreSQL clears the file of a dead server itself, after proving that its memory is free.
  if (seen.state === 'gone') return
  const isServer = await servesCluster(found.pid, seen, layout.database)
  if (isServer === null) throw cannotTell(layout, pidFile, found.pid)
  if (!isServer) {
    log(`removing ${pidFile}: its process ${found.pid} is another program now`)
    return rm(pidFile, { force: true })
  }
  log(`stopping the PostgreSQL server ${found.pid}, left over from a Canemark that was killed`)
  await requestStop(found.pid, 'fast', engine, context)
  if (await waitUntilGone(found.pid, seen.identity, fastStopMs)) return
  log(`the server ${found.pid} does not stop; ending it at once, its journal will be replayed`)
  await requestStop(found.pid, 'immediate', engine, context)
  if (await waitUntilGone(found.pid, seen.identity, immediateStopMs)) return
  throw new EmbeddedDatabaseError(
    'server_still_running',
    `An earlier PostgreSQL server (process ${found.pid}) still holds ${layout.database} and does ` +
      `not stop. End that process, then start Canemark again.`,
  )
}

function cannotTell(layout: Layout, pidFile: string, pid: number): EmbeddedDatabaseError {
  return new EmbeddedDatabaseError(
    'server_still_running',
    `Process ${pid} may be an earlier PostgreSQL server on ${layout.database}; this system does ` +
      `not say. If it is, end it; if it is another program, delete ${pidFile}. ` +
      `Then start Canemark again.`,
  )
}
