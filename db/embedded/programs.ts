// Starts PostgreSQL's programs as the right user, in an environment that is the same everywhere.
import { type ChildProcess, type StdioOptions, spawn } from 'node:child_process'
import { type Account, spawnAs } from './account.ts'
import type { Engine } from './engine.ts'
import { EmbeddedDatabaseError, systemCode } from './errors.ts'
import type { Layout } from './folder.ts'

/** Where and as whom a program runs. `cwd` must be a folder that the user may enter. */
export type ProgramContext = { account: Account; cwd: string }

/** All that is needed to run the server on a cluster. */
export type ServerPlan = {
  layout: Layout
  engine: Engine
  context: ProgramContext
  log: (line: string) => void
}

/** Options for a spawned PostgreSQL program. */
export function spawnOptions(context: ProgramContext, stdio: StdioOptions) {
  return {
    ...spawnAs(context.account),
    cwd: context.cwd,
    env: programEnvironment(),
    stdio,
    windowsHide: true,
  }
}

/**
 * Runs a program to its end and gives its exit code and what it printed. Throws
 * `engine_not_runnable` when it cannot be started at all.
 */
export function runProgram(
  file: string,
  args: string[],
  context: ProgramContext,
  input = '',
): Promise<{ code: number | null; output: string }> {
  return new Promise((resolve, reject) => {
    const child = spawn(file, args, spawnOptions(context, ['pipe', 'pipe', 'pipe']))
    const chunks: Buffer[] = []
    child.stdout?.on('data', (chunk: Buffer) => chunks.push(chunk))
    child.stderr?.on('data', (chunk: Buffer) => chunks.push(chunk))
    // The program may end before it has read its input; its exit code tells more than EPIPE.
    child.stdin?.on('error', () => undefined)
    child.on('error', (error) => reject(notRunnable(file, error)))
    child.on('close', (code) => resolve({ code, output: Buffer.concat(chunks).toString('utf8') }))
    child.stdin?.end(input)
  })
}

/** Resolves once the program has been started, or throws `engine_not_runnable`. */
export function untilSpawned(child: ChildProcess, file: string): Promise<void> {
  return new Promise((resolve, reject) => {
    child.once('spawn', resolve)
    child.once('error', (error) => reject(notRunnable(file, error)))
  })
}

/**
 * Only what a program needs. PG… variables of the caller would reach into our server, and the
 * language must be C, because we read messages (and macOS cannot start a server without one).
 */
function programEnvironment(): NodeJS.ProcessEnv {
  const env: NodeJS.ProcessEnv = { LC_ALL: 'C', TZ: 'UTC' }
  for (const name of ['PATH', 'SystemRoot', 'SystemDrive', 'ComSpec', 'TEMP', 'TMP', 'USERNAME']) {
    if (process.env[name] !== undefined) env[name] = process.env[name]
  }
  return env
}

function notRunnable(file: string, error: Error): EmbeddedDatabaseError {
  const why: Record<string, string> = {
    ENOENT: `A library loader is missing: the programs need glibc (Alpine has none).`,
    EACCES: `The folder may lie on a file system mounted noexec; name another with CANEMARK_DATA.`,
    EPERM: `This system does not let root start programs as another user; start as that user.`,
    EINVAL: `This system does not know the user to run as; start Canemark as an ordinary user.`,
  }
  const code = systemCode(error)
  return new EmbeddedDatabaseError(
    'engine_not_runnable',
    `The PostgreSQL program ${file} cannot be started (${code || error.message}). ` +
      (why[code] ?? 'Point Canemark at a PostgreSQL server of your own.'),
    { cause: error },
  )
}
