// A browser of our own with its profile on disk, whose process can be killed and started anew.
import { spawn } from 'node:child_process'
import type { ChildProcess } from 'node:child_process'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { chromium } from 'playwright-core'
import type { Browser, BrowserContext } from 'playwright-core'

export class BrowserProcess {
  readonly #program: string
  readonly #profile: string
  #process: ChildProcess | null = null
  #browser: Browser | null = null

  private constructor(program: string, profile: string) {
    this.#program = program
    this.#profile = profile
  }

  static async make(program: string): Promise<BrowserProcess> {
    return new BrowserProcess(program, await mkdtemp(path.join(tmpdir(), 'canemark-browser-')))
  }

  /** Starts it on the same profile as before. */
  async start(): Promise<BrowserContext> {
    const args = ['--headless=new', '--no-sandbox', '--disable-gpu', '--no-first-run']
    const ours = [`--user-data-dir=${this.#profile}`, '--remote-debugging-port=0']
    const child = spawn(this.#program, [...args, ...ours, 'about:blank'], {
      stdio: ['ignore', 'ignore', 'pipe'],
      detached: true,
    })
    this.#process = child
    this.#browser = await chromium.connectOverCDP(await debuggerOf(child))
    const [context] = this.#browser.contexts()
    if (context === undefined) throw new Error('a browser has a first context')
    return context
  }

  /** Kills it with all its processes, as a phone does that runs out of power. */
  async kill(): Promise<void> {
    const child = this.#process
    this.#process = null
    if (child?.pid === undefined) return
    const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()))
    process.kill(-child.pid, 'SIGKILL')
    await ended
    await this.#browser?.close().catch(() => undefined)
  }

  async close(): Promise<void> {
    await this.kill()
    const patience = { recursive: true, force: true, maxRetries: 20, retryDelay: 100 }
    await rm(this.#profile, patience)
  }
}

/** The address that the browser prints once it can be driven. */
function debuggerOf(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = ''
    child.stderr?.on('data', (chunk: Buffer) => {
      said += chunk.toString()
      const address = /DevTools listening on (ws:\S+)/.exec(said)?.[1]
      if (address !== undefined) resolve(address)
    })
    child.once('exit', (code) => reject(new Error(`the browser ended with ${code}: ${said}`)))
  })
}
