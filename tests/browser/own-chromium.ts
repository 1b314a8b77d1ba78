// A Chromium of our own with a profile on disk, so that its process can be killed and started anew.
import { spawn } from 'node:child_process'
import type { ChildProcess } from 'node:child_process'
import { chromium } from 'playwright-core'
import type { BrowserContext } from 'playwright-core'
import { findChromium } from './chromium.ts'

/** How long a browser may take to start on a loaded machine. */
const START_MS = 60_000

export class OwnChromium {
  readonly context: BrowserContext
  readonly #process: ChildProcess

  private constructor(process: ChildProcess, context: BrowserContext) {
    this.#process = process
    this.context = context
  }

  /** Starts it on `profile`; its camera shows the film at `video` over and over. */
  static async start(profile: string, video: string): Promise<OwnChromium> {
    const path = findChromium()
    if (path === null) throw new Error('no Chromium found: set CHROMIUM_PATH to its program file')
    const child = spawn(path, [
      '--headless=new',
      '--no-sandbox',
      '--disable-gpu',
      '--no-first-run',
      '--disable-background-networking',
      '--remote-debugging-port=0',
      `--user-data-dir=${profile}`,
      '--window-size=360,740',
      '--use-fake-ui-for-media-stream',
      '--use-fake-device-for-media-stream',
      `--use-file-for-fake-video-capture=${video}`,
      'about:blank',
    ])
    const address = await debuggerAddress(child)
    const browser = await chromium.connectOverCDP(address)
    const [context] = browser.contexts()
    if (context === undefined) throw new Error('the browser has no context')
    return new OwnChromium(child, context)
  }

  /** The process and all of its children are gone at once, as when a phone's battery ends. */
  async kill(): Promise<void> {
    if (this.#process.exitCode !== null || this.#process.signalCode !== null) return
    const gone = new Promise((resolve) => this.#process.once('exit', resolve))
    this.#process.kill('SIGKILL')
    await gone
  }
}

function debuggerAddress(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = ''
    const timer = setTimeout(() => reject(new Error(`Chromium did not start: ${said}`)), START_MS)
    child.stderr?.on('data', (chunk: Buffer) => {
      said += chunk.toString()
      const address = /DevTools listening on (ws:\S+)/.exec(said)?.[1]
      if (address === undefined) return
      clearTimeout(timer)
      resolve(address)
    })
    child.once('exit', (code) => reject(new Error(`Chromium ended with ${code}: ${said}`)))
  })
}
