// Runs the PostgreSQL server on the cluster: starts it, waits until it answers, stops it.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { open } from 'node:fs/promises'
import { setTimeout as sleep } from 'node:timers/promises'
import { giveToFolderOwner } from './account.ts'
import { EmbeddedDatabaseError } from './errors.ts'
import { anyFreePort, choosePort } from './port.ts'
import { readPostmasterFile, requestStop } from './postmaster.ts'
import { clearPreviousServer } from './previous.ts'
import { isStill, waitUntilGone } from './processes.ts'
import { type ServerPlan, spawnOptions, untilSpawned } from './programs.ts'
import { keepLogSmall, logSize, startFailure } from './serverLog.ts'

/** A server that accepts connections. */
export type RunningServer = {
  pid: number
  port: number
  /** Resolves when the server has ended, whoever ended it. */
  ended: Promise<void>
  /** Ends all sessions, closes the cluster cleanly and waits until the server is gone. */
  stop: () => Promise<void>
}

const portAttemptLimit = 5
const previousServerMs = 60_000
const readyLimitMs = 30 * 60_000
const stillWaitingMs = 15_000
const pollMs = 20
const fastStopMs = 120_000
const immediateStopMs = 30_000
const exitStopSeconds = 60
const logCheckMs = 10 * 60_000

/**
 * Durability is given on the command line, which no file and no ALTER SYSTEM can override.
 * Statements stay out of the server's log, for they hold people's data.
 */
const settings = {
  listen_addresses: '127.0.0.1',
  fsync: 'on',
  synchronous_commit: 'on',
  full_page_writes: 'on',
  password_encryption: 'scram-sha-256',
  timezone: 'UTC',
  log_timezone: 'UTC',
  lc_messages: 'C',
  logging_collector: 'off',
  log_destination: 'stderr',
  log_checkpoints: 'off',
  log_min_error_statement: 'panic',
}

/**
 * Starts the server and waits until it accepts connections, through crash recovery if need be.
 * What an earlier run left is cleared first. When the port was taken in the meantime another one
 * is tried; when processes of a killed server still hold the cluster's memory, they are waited
 * for. Throws `port_taken`,
 * `server_still_running`, `disk_full`, `engine_not_runnable` or `server_failed`.
 */
export async function startServer(plan: ServerPlan): Promise<RunningServer> {
  const deadline = Date.now() + previousServerMs
  await clearPreviousServer(plan)
  let port = await choosePort(plan.layout)
  let portAttempts = 1
  for (;;) {
    try {
      return await startOnce(plan, port)
    } catch (error) {
      const code = error instanceof EmbeddedDatabaseError ? error.code : ''
      if (code === 'port_taken' && portAttempts < portAttemptLimit) {
        portAttempts += 1
        port = await anyFreePort()
      } else if (code === 'server_still_running' && Date.now() < deadline) {
        await sleep(pollMs * 10)
        await clearPreviousServer(plan)
      } else {
        throw error
      }
    }
  }
}

async function startOnce(plan: ServerPlan, port: number): Promise<RunningServer> {
  await keepLogSmall(plan.layout.logFile)
  const logStart = await logSize(plan.layout.logFile)
  const started =
    process.platform === 'win32' ? await launchByPgCtl(plan, port) : await launch(plan, port)
  const stopOnExit = () => {
    const args = ['stop', '-D', plan.layout.database, '-m', 'fast', '-s', '-w']
    args.push('-t', String(exitStopSeconds))
    spawnSync(plan.engine.pgCtl, args, spawnOptions(plan.context, 'ignore'))
  }
  let hasEnded = false
  process.once('exit', stopOnExit)
  const logCheck = setInterval(() => {
    keepLogSmall(plan.layout.logFile).catch(() => undefined)
  }, logCheckMs)
  logCheck.unref()
  const ended = started.ended.then(() => {
    hasEnded = true
    process.off('exit', stopOnExit)
    clearInterval(logCheck)
  })
  await untilReady(plan, started.pid, () => hasEnded).catch(async (error: unknown) => {
    if (!hasEnded) await stopServer(plan, started.pid, ended)
    throw error
  })
  if (hasEnded) throw await startFailure(plan, logStart, port)
  const server = { pid: started.pid, port, ended }
  return { ...server, stop: () => stopServer(plan, started.pid, ended) }
}

type Launched = { pid: number; ended: Promise<void> }

/** In a session of its own, so that Ctrl-C in a terminal reaches Canemark first. */
async function launch(plan: ServerPlan, port: number): Promise<Launched> {
  const logFile = await open(plan.layout.logFile, 'a', 0o600)
  try {
    await giveToFolderOwner(plan.layout.logFile, plan.context.account)
    const child = spawn(
      plan.engine.postgres,
      ['-D', plan.layout.database, ...settingArguments(port), '-c', 'unix_socket_directories='],
      { ...spawnOptions(plan.context, ['ignore', logFile.fd, logFile.fd]), detached: true },
    )
    const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()))
    await untilSpawned(child, plan.engine.postgres)
    child.unref()
    return { pid: pidOf(child), ended }
  } finally {
    await logFile.close()
  }
}

/** On Windows pg_ctl lays down administrator's rights first, with which no server would start. */
async function launchByPgCtl(plan: ServerPlan, port: number): Promise<Launched> {
  const { layout, engine } = plan
  const options = settingArguments(port).join(' ')
  const args = ['start', '-D', layout.database, '-l', layout.logFile, '-s', '-w', '-o', options]
  args.push('-t', String(readyLimitMs / 1000))
  const child = spawn(engine.pgCtl, args, spawnOptions(plan.context, 'ignore'))
  // Not 'close': the server inherits pg_ctl's handles and would keep it from ever coming.
  const exited = new Promise<void>((resolve) => child.once('exit', () => resolve()))
  await untilSpawned(child, engine.pgCtl)
  await exited
  const pid = (await readPostmasterFile(layout.database))?.pid ?? null
  if (pid === null || child.exitCode !== 0) return { pid: -1, ended: Promise.resolve() }
  return { pid, ended: untilVanished(pid) }
}

/** Watches a process that is not our child, without keeping Node alive for it. */
async function untilVanished(pid: number): Promise<void> {
  while (await isStill(pid, null)) await sleep(stillWaitingMs / 10, undefined, { ref: false })
}

function settingArguments(port: number): string[] {
  const all = Object.entries({ ...settings, port: String(port) })
  return all.flatMap(([name, value]) => ['-c', `${name}=${value}`])
}

async function untilReady(plan: ServerPlan, pid: number, hasEnded: () => boolean): Promise<void> {
  const began = Date.now()
  let spokeAt = began
  while (!hasEnded()) {
    const found = await readPostmasterFile(plan.layout.database)
    if (found?.pid === pid && found.isReady) return
    const now = Date.now()
    if (now - began > readyLimitMs) {
      throw new EmbeddedDatabaseError(
        'server_failed',
        `PostgreSQL on ${plan.layout.database} was not ready after ${readyLimitMs / 60_000} ` +
          `minutes and was stopped. See ${plan.layout.logFile}.`,
      )
    }
    if (now - spokeAt > stillWaitingMs) {
      plan.log(`PostgreSQL is still recovering after ${Math.round((now - began) / 1000)} s`)
      spokeAt = now
    }
    await sleep(pollMs)
  }
}

async function stopServer(plan: ServerPlan, pid: number, ended: Promise<void>): Promise<void> {
  await requestStop(pid, 'fast', plan.engine, plan.context)
  if (await within(ended, fastStopMs)) return
  plan.log(`PostgreSQL (process ${pid}) does not stop; ending it at once, it will recover`)
  await requestStop(pid, 'immediate', plan.engine, plan.context)
  if (await waitUntilGone(pid, null, immediateStopMs)) return
  throw new EmbeddedDatabaseError(
    'server_still_running',
    `PostgreSQL (process ${pid}) on ${plan.layout.database} does not stop. End that process.`,
  )
}

async function within(done: Promise<void>, waitMs: number): Promise<boolean> {
  const timer = new AbortController()
  const late = sleep(waitMs, false, { signal: timer.signal }).catch(() => false)
  const inTime = await Promise.race([done.then(() => true), late])
  timer.abort()
  return inTime
}

function pidOf(child: ChildProcess): number {
  if (child.pid === undefined) throw new Error('a spawned process has an id')
  return child.pid
}
