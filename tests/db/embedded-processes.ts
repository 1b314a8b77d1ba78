// Real folders and processes for the tests of the embedded database, and their clearing away.
import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { chmod, chown, mkdtemp, readFile, readdir, realpath, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { createInterface } from 'node:readline'
import { setTimeout as sleep } from 'node:timers/promises'
import pg from 'pg'
import { z } from 'zod'
import { layoutOf } from '../../db/embedded/folder.ts'
import { openEmbedded } from '../../db/embedded/open.ts'
import { look } from '../../db/embedded/processes.ts'

export const repository = path.resolve(import.meta.dirname, '../..')
export const isRoot = process.getuid?.() === 0

/** An ordinary user for tests that run as root: nobody, on every unix. */
export const ordinaryUser = { uid: 65534, gid: 65534 }

const urlsShape = z.object({
  owner: z.string(),
  app: z.string(),
  reader: z.string(),
  admin: z.string(),
})
const messageShape = z.object({
  event: z.enum(['log', 'open', 'refused', 'stopped', 'lost']),
  line: z.string().optional(),
  code: z.string().optional(),
  message: z.string().optional(),
  pid: z.number().optional(),
  urls: urlsShape.optional(),
})
export type ChildMessage = z.infer<typeof messageShape>

const folders: string[] = []
const children: Child[] = []

/** A new folder below the system's temporary one, cleared away by `clearAway`. */
export async function newFolder(user?: { uid: number; gid: number }): Promise<string> {
  const folder = await realpath(await mkdtemp(path.join(tmpdir(), 'canemark-embedded-')))
  await chmod(folder, 0o755)
  if (user) await chown(folder, user.uid, user.gid)
  folders.push(folder)
  return folder
}

let prepared: Promise<string> | null = null

/** A new data folder that has been opened and closed once; faster than a first start. */
export async function preparedFolder(): Promise<string> {
  prepared ??= newFolder().then(async (dataFolder) => {
    await (await openEmbedded({ dataFolder })).stop()
    return dataFolder
  })
  const folder = await newFolder()
  execFileSync('cp', ['-a', `${await prepared}/.`, folder])
  return folder
}

/** Ends every child and every server of this test file and removes its folders. */
export async function clearAway(): Promise<void> {
  for (const child of children.splice(0)) await child.kill()
  for (const folder of folders.splice(0)) {
    for (const at of [folder, ...(await subfolders(folder))]) {
      const pid = await serverPid(at)
      if (pid !== null) await killHard([pid, ...childrenOf(pid)])
    }
    await rm(folder, { recursive: true, force: true })
  }
}

/** A Node process running embedded-child.ts. */
export class Child {
  readonly process: ChildProcess
  readonly messages: ChildMessage[] = []
  readonly exited: Promise<void>
  stderr = ''
  #hasExited = false

  constructor(command: string, args: string[], options: object) {
    this.process = spawn(command, args, { ...options, stdio: ['pipe', 'pipe', 'pipe'] })
    this.exited = new Promise((resolve, reject) => {
      this.process.once('error', reject)
      this.process.once('close', () => {
        this.#hasExited = true
        resolve()
      })
    })
    this.process.stderr?.on('data', (chunk: Buffer) => (this.stderr += chunk.toString()))
    if (this.process.stdout) {
      createInterface({ input: this.process.stdout }).on('line', (line) => {
        this.messages.push(messageShape.parse(JSON.parse(line)))
      })
    }
    children.push(this)
  }

  /** Waits for the first message that is no log line. */
  async answer(): Promise<ChildMessage> {
    return this.until((message) => message.event !== 'log')
  }

  /** Waits for a message; fails, with what the child wrote, when it ends without. */
  async until(isWanted: (message: ChildMessage) => boolean): Promise<ChildMessage> {
    for (;;) {
      const found = this.messages.find(isWanted)
      if (found) return found
      if (this.#hasExited) throw new Error(`the child ended without it: ${this.stderr}`)
      await sleep(10)
    }
  }

  /** The open folder's URLs; fails when the child was refused. */
  async urls(): Promise<z.infer<typeof urlsShape>> {
    const answer = await this.answer()
    if (!answer.urls) throw new Error(`the child was refused: ${answer.message}`)
    return answer.urls
  }

  async stop(): Promise<void> {
    this.process.stdin?.write('stop\n')
    await this.exited
  }

  async kill(): Promise<void> {
    this.process.kill('SIGKILL')
    await this.exited
  }
}

/** Starts embedded-child.ts on a data folder. `clone` is where the code lies. */
export function startChild(
  dataFolder: string,
  mode: 'hold' | 'leave' | 'exit' | 'throw' | 'write',
  options: { user?: { uid: number; gid: number }; clone?: string; round?: string } = {},
): Child {
  return new Child(process.execPath, childArguments(dataFolder, mode, options.round), {
    cwd: options.clone ?? repository,
    env: { PATH: process.env.PATH, TMPDIR: process.env.TMPDIR },
    ...options.user,
  })
}

/** The arguments of node for a child that is started in some other way. */
export function childArguments(dataFolder: string, mode: string, round = '0'): string[] {
  return ['--import', 'tsx', 'tests/db/embedded-child.ts', dataFolder, mode, round]
}

/** The process id in postmaster.pid, or null when no server has left one. */
export async function serverPid(dataFolder: string): Promise<number | null> {
  const file = path.join(layoutOf(dataFolder).database, 'postmaster.pid')
  const text = await readFile(file, 'utf8').catch(() => '')
  const pid = Number.parseInt(text, 10)
  return pid > 0 ? pid : null
}

/** The server's process id, which must be there. */
export async function runningServerPid(dataFolder: string): Promise<number> {
  const pid = await serverPid(dataFolder)
  if (pid === null) throw new Error(`no server runs on ${dataFolder}`)
  return pid
}

export function childrenOf(pid: number): number[] {
  const lines = execFileSync('ps', ['-A', '-o', 'pid=', '-o', 'ppid='], { encoding: 'utf8' })
  const pairs = lines.split('\n').map((line) => line.trim().split(/\s+/).map(Number))
  return pairs.flatMap(([child, parent]) => (parent === pid && child !== undefined ? [child] : []))
}

/** kill -9 to all of them at once, then waits until they are gone. */
export async function killHard(pids: number[]): Promise<void> {
  for (const pid of pids) {
    try {
      process.kill(pid, 'SIGKILL')
    } catch {
      // It has ended already, which is what is wanted.
    }
  }
  for (const pid of pids) await untilGone(pid)
}

export async function untilGone(pid: number): Promise<void> {
  while ((await look(pid)).state !== 'gone') await sleep(10)
}

/** Runs one query on a connection of its own and gives the rows as arrays of text. */
export async function ask(url: string, text: string): Promise<string[][]> {
  const client = new pg.Client({ connectionString: url })
  await client.connect()
  try {
    const { rows } = await client.query<unknown[]>({ text, rowMode: 'array' })
    return rows.map((row) => row.map(String))
  } finally {
    await client.end()
  }
}

async function subfolders(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => [])
  return entries.filter((entry) => entry.isDirectory()).map((e) => path.join(folder, e.name))
}
