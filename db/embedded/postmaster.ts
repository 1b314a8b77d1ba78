// Reads the file a running PostgreSQL server keeps in its folder, and asks servers to stop.
import { readFile, stat } from 'node:fs/promises'
import path from 'node:path'
import type { Engine } from './engine.ts'
import { systemCode } from './errors.ts'
import { type Sighting } from './processes.ts'
import { type ProgramContext, runProgram } from './programs.ts'

/** What postmaster.pid says; `pid` is null when the file is empty or broken. */
export type PostmasterFile = { pid: number | null; isReady: boolean }

/** The name of the server's own file, below the cluster's folder. */
export function postmasterFileOf(database: string): string {
  return path.join(database, 'postmaster.pid')
}

/**
 * Reads postmaster.pid, or null when there is none. Line 1 is the process id (negative for
 * single-user mode), line 8 the state (PostgreSQL source, src/include/utils/pidfile.h).
 */
export async function readPostmasterFile(database: string): Promise<PostmasterFile | null> {
  const text = await readFile(postmasterFileOf(database), 'utf8').catch((error: unknown) => {
    if (systemCode(error) === 'ENOENT') return null
    throw error
  })
  if (text === null) return null
  const lines = text.split('\n')
  const pid = Math.abs(Number.parseInt(lines[0] ?? '', 10))
  return {
    pid: Number.isSafeInteger(pid) && pid > 0 ? pid : null,
    isReady: lines[7]?.trim() === 'ready',
  }
}

/**
 * Whether the process seen is a PostgreSQL server on this cluster, by its working folder where
 * the system shows it, else by its command line; null when the system shows neither.
 */
export async function servesCluster(
  pid: number,
  seen: Sighting & { state: 'alive' },
  database: string,
): Promise<boolean | null> {
  if (process.platform === 'linux' && (await sameFolder(`/proc/${pid}/cwd`, database))) return true
  if (seen.commandLine === null) return null
  const plain = (text: string) => {
    const slashed = text.replaceAll('\\', '/')
    return process.platform === 'win32' ? slashed.toLowerCase() : slashed
  }
  const line = plain(seen.commandLine)
  return line.includes('postgres') && line.includes(plain(database))
}

/** Asks a server to stop: `fast` ends sessions and closes cleanly, `immediate` just ends. */
export async function requestStop(
  pid: number,
  mode: 'fast' | 'immediate',
  engine: Engine,
  context: ProgramContext,
): Promise<void> {
  const signal = mode === 'fast' ? 'SIGINT' : 'SIGQUIT'
  if (process.platform === 'win32') {
    await runProgram(engine.pgCtl, ['kill', signal.slice('SIG'.length), String(pid)], context)
    return
  }
  try {
    process.kill(pid, signal)
  } catch (error) {
    if (systemCode(error) !== 'ESRCH') throw error
  }
}

async function sameFolder(one: string, other: string): Promise<boolean> {
  try {
    const [a, b] = await Promise.all([stat(one), stat(other)])
    return a.dev === b.dev && a.ino === b.ino
  } catch {
    return false
  }
}
