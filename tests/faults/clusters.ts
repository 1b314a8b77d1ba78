// Two PostgreSQL clusters of our own on loopback, one the synchronous standby of the other.
import { cp, mkdtemp, readFile, readdir, rm, chmod, writeFile, appendFile } from 'node:fs/promises'
import { existsSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { chooseAccount, giveToServer } from '../../db/embedded/account.ts'
import type { Account } from '../../db/embedded/account.ts'
import { findEnginePackage, prepareEngine } from '../../db/embedded/engine.ts'
import { layoutOf } from '../../db/embedded/folder.ts'
import { anyFreePort } from '../../db/embedded/port.ts'
import { runProgram } from '../../db/embedded/programs.ts'
import { childrenOf, killHard } from '../db/embedded-processes.ts'

const debianFolder = '/usr/lib/postgresql'
const startSeconds = '120'

/** A running cluster. */
export type Cluster = { folder: string; port: number; adminUrl: string }

/** A primary, its standby, and what a test does to them. */
export type Pair = {
  programs: string
  primary: Cluster
  standby: Cluster
  /** kill -9 of every process of the primary, and its folder removed: the machine is gone. */
  losePrimary: () => Promise<void>
  /** `pg_ctl promote`, as a failover manager does it. */
  promoteStandby: () => Promise<void>
  stop: () => Promise<void>
}

/**
 * Starts both: every commit of the primary waits until the standby has it on disk. The programs are
 * those of Debian's postgresql package, or else those that come with Canemark.
 */
export async function startPair(): Promise<Pair> {
  const folder = await mkdtemp(path.join(tmpdir(), 'canemark-pair-'))
  await chmod(folder, 0o711)
  const layout = layoutOf(folder)
  const account = await chooseAccount(layout)
  await giveToServer(folder, account)
  const programs = await findPrograms(folder, account)
  const run = async (program: string, args: string[]) => {
    const { code, output } = await runProgram(path.join(programs, program), args, {
      account,
      cwd: folder,
    })
    if (code !== 0) throw new Error(`${program} ${args.join(' ')}: ${output}`)
  }
  const pgCtl = (at: string, ...args: string[]) => run('pg_ctl', [...args, '-D', at, '-s', '-w'])
  const primary = await newCluster(path.join(folder, 'primary'))
  const standby = await newCluster(path.join(folder, 'standby'))
  await run('initdb', ['-D', primary.folder, '-U', 'postgres', '--auth=trust', '-E', 'UTF8'])
  // A copy of a cluster that does not run is a base backup.
  await cp(primary.folder, standby.folder, { recursive: true, preserveTimestamps: true })
  await writeFile(path.join(standby.folder, 'standby.signal'), '')
  await configure(primary, `synchronous_standby_names = 'canemark_standby'`)
  const source =
    `host=127.0.0.1 port=${primary.port} user=postgres ` + 'application_name=canemark_standby'
  await configure(standby, `primary_conninfo = '${source}'`)
  await giveAll(standby.folder, account)
  for (const { folder: at } of [primary, standby]) {
    await pgCtl(at, 'start', '-l', `${at}.log`, '-t', startSeconds)
  }
  return {
    programs,
    primary,
    standby,
    losePrimary: async () => {
      await killAll(primary.folder)
      await rm(primary.folder, { recursive: true })
    },
    promoteStandby: () => pgCtl(standby.folder, 'promote'),
    stop: async () => {
      for (const { folder: at } of [primary, standby]) await killAll(at)
      await rm(folder, { recursive: true, force: true })
    },
  }
}

async function newCluster(folder: string): Promise<Cluster> {
  const port = await anyFreePort()
  return { folder, port, adminUrl: `postgres://postgres@127.0.0.1:${port}/postgres` }
}

async function configure({ folder, port }: Cluster, line: string): Promise<void> {
  const lines = [
    `listen_addresses = '127.0.0.1'`,
    `port = ${port}`,
    `unix_socket_directories = ''`,
    'wal_level = replica',
    'synchronous_commit = on',
    'shared_buffers = 32MB',
    line,
  ]
  await appendFile(path.join(folder, 'postgresql.conf'), `\n${lines.join('\n')}\n`)
}

async function killAll(folder: string): Promise<void> {
  const text = await readFile(path.join(folder, 'postmaster.pid'), 'utf8').catch(() => '')
  const pid = Number.parseInt(text, 10)
  if (pid > 0) await killHard([pid, ...childrenOf(pid)])
}

async function findPrograms(folder: string, account: Account): Promise<string> {
  const versions = await readdir(debianFolder).catch((): string[] => [])
  const newest = versions.map(Number).sort((a, b) => b - a)
  for (const version of newest) {
    const at = path.join(debianFolder, String(version), 'bin')
    if (existsSync(path.join(at, 'initdb'))) return at
  }
  const engine = await prepareEngine(
    layoutOf(folder),
    account,
    await findEnginePackage(),
    () => undefined,
  )
  return path.dirname(engine.postgres)
}

async function giveAll(folder: string, account: Account): Promise<void> {
  await giveToServer(folder, account)
  await chmod(folder, 0o700)
  for (const name of await readdir(folder, { recursive: true })) {
    await giveToServer(path.join(folder, name), account)
  }
}
