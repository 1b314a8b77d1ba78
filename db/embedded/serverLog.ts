// Keeps the server's log file small and reads from it why a start failed.
import { copyFile, open, stat, truncate } from 'node:fs/promises'
import { EmbeddedDatabaseError, diskFull, systemCode } from './errors.ts'
import type { ServerPlan } from './programs.ts'

const logLimitBytes = 10 * 1024 * 1024
const tailLimitBytes = 8 * 1024

/** Size of the log in bytes; 0 when there is none yet. */
export async function logSize(logFile: string): Promise<number> {
  try {
    return (await stat(logFile)).size
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return 0
    throw error
  }
}

/**
 * Moves a log beyond 10 MiB to `.1` by copying and emptying it: the server appends to the open
 * file and goes on at its start. Lines written in between may be lost, data never.
 */
export async function keepLogSmall(logFile: string): Promise<void> {
  if ((await logSize(logFile)) <= logLimitBytes) return
  await copyFile(logFile, `${logFile}.1`)
  await truncate(logFile, 0)
}

/** Puts into words why the server ended while starting, from what it logged since `logStart`. */
export async function startFailure(
  plan: ServerPlan,
  logStart: number,
  port: number,
): Promise<EmbeddedDatabaseError> {
  const { layout, engine } = plan
  const said = await readFrom(layout.logFile, logStart)
  if (/could not bind|could not create any TCP\/IP sockets/.test(said)) {
    return new EmbeddedDatabaseError(
      'port_taken',
      `TCP port ${port} on 127.0.0.1 was taken by another program while the database started. ` +
        `Start Canemark again: it picks another port.`,
    )
  }
  if (/pre-existing shared memory block|lock file "postmaster.pid" already exists/.test(said)) {
    return new EmbeddedDatabaseError(
      'server_still_running',
      `Processes of an earlier PostgreSQL server still hold ${layout.database}. ` +
        `End them, then start Canemark again. PostgreSQL said: ${said}`,
    )
  }
  if (/No space left on device|Disk quota exceeded/.test(said)) {
    return diskFull(layout.dataFolder, new Error(said))
  }
  if (/error while loading shared libraries|Library not loaded/.test(said)) {
    return new EmbeddedDatabaseError(
      'engine_not_runnable',
      `The PostgreSQL programs in ${engine.folder} are not complete. Delete that folder and ` +
        `start Canemark again: it makes the copy anew. The system said: ${said}`,
    )
  }
  return new EmbeddedDatabaseError(
    'server_failed',
    `PostgreSQL did not start on ${layout.database}. It said (${layout.logFile}): ` +
      `${said || 'nothing'}`,
  )
}

async function readFrom(logFile: string, start: number): Promise<string> {
  const size = await logSize(logFile)
  const from = Math.max(start, size - tailLimitBytes)
  if (size <= from) return ''
  const file = await open(logFile, 'r')
  try {
    const buffer = Buffer.alloc(size - from)
    await file.read(buffer, 0, buffer.length, from)
    return buffer.toString('utf8').trim()
  } finally {
    await file.close()
  }
}
