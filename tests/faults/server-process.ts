// The real server as a process of its own, so that it can be killed and started again.
import { type ChildProcess, spawn } from 'node:child_process'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { anyFreePort } from '../../db/embedded/port.ts'

const repository = path.resolve(import.meta.dirname, '../..')
const readyWithinMs = 90_000
const running = new Set<ServerProcess>()

/** `npm start` without npm. `DATABASE_URL` or `CANEMARK_DATA` says on which database. */
export class ServerProcess {
  readonly url: string
  readonly process: ChildProcess
  readonly ended: Promise<number | null>
  output = ''
  #hasEnded = false

  private constructor(port: number, environment: Record<string, string>) {
    this.url = `http://127.0.0.1:${port}`
    const { PATH = '', TMPDIR, HOME } = process.env
    this.process = spawn(process.execPath, ['--import', 'tsx', 'api/main.ts'], {
      cwd: repository,
      env: { PATH, TMPDIR, HOME, PORT: String(port), ...environment },
      stdio: ['ignore', 'pipe', 'pipe'],
    })
    for (const stream of [this.process.stdout, this.process.stderr]) {
      stream?.on('data', (chunk: Buffer) => (this.output += chunk.toString()))
    }
    this.ended = new Promise((resolve) => {
      this.process.once('close', (code) => {
        this.#hasEnded = true
        running.delete(this)
        resolve(code)
      })
    })
    running.add(this)
  }

  /** Starts it and waits until it answers; fails with what it said when it ends instead. */
  static async start(environment: Record<string, string>): Promise<ServerProcess> {
    const server = new ServerProcess(await anyFreePort(), environment)
    const deadline = Date.now() + readyWithinMs
    while (!(await server.answers())) {
      if (server.hasEnded || Date.now() > deadline) {
        throw new Error(`the server did not start: ${server.output}`)
      }
      await sleep(25)
    }
    return server
  }

  /** Sends a request to this server. */
  readonly door = (path: string, init: RequestInit) => fetch(`${this.url}${path}`, init)

  get hasEnded(): boolean {
    return this.#hasEnded
  }

  async kill(): Promise<void> {
    this.process.kill('SIGKILL')
    await this.ended
  }

  async answers(): Promise<boolean> {
    try {
      await (await fetch(`${this.url}/assets/office.css`)).arrayBuffer()
      return true
    } catch {
      return false
    }
  }
}

/** Ends every server that a test left running. */
export async function killServers(): Promise<void> {
  for (const server of [...running]) await server.kill()
}
