// Decides when to try again: soon after a tap, later and later after failures, at once when asked.
import { waitMs } from './backoff.ts'

/** After an entry was written, in ms, so that quick taps travel together. */
const AFTER_WRITE_MS = 2_000
/** While the office has not compared fingerprints yet, in ms. */
const WAITING_MS = 10_000
/** While nothing is to be sent: the snapshot is then fetched anew, in ms. */
const QUIET_MS = 5 * 60_000

/** How a round ended. */
export interface RoundEnd {
  readonly state: 'well' | 'failed' | 'waiting'
  /** Seconds that the server asked us to wait; null when it did not. */
  readonly waitSeconds: number | null
}

/** The timers of the browser, or of a simulation. */
export interface Timers {
  readonly set: (run: () => void, ms: number) => unknown
  readonly clear: (handle: unknown) => void
}

/** Runs rounds, never two at once in this tab. */
export class Schedule {
  readonly #round: () => Promise<RoundEnd>
  readonly #random: () => number
  readonly #timers: Timers
  #failures = 0
  #running: Promise<void> | null = null
  #again = false
  #timer: { handle: unknown; dueMs: number } | null = null
  #isOver = false

  constructor(round: () => Promise<RoundEnd>, random: () => number, timers: Timers) {
    this.#round = round
    this.#random = random
    this.#timers = timers
  }

  /** Tries now; a call during a round has another follow it, and waits for that one. */
  async now(): Promise<void> {
    if (this.#running !== null) {
      this.#again = true
      return this.#running
    }
    this.#running = this.#run()
    try {
      await this.#running
    } finally {
      this.#running = null
    }
  }

  /** Something was written: tries soon, unless failures have it wait for longer. */
  afterWrite(): void {
    if (this.#failures === 0) this.#due(AFTER_WRITE_MS)
  }

  /** Ends all waiting. */
  stop(): void {
    this.#isOver = true
    this.#clear()
  }

  async #run(): Promise<void> {
    do {
      this.#again = false
      this.#clear()
      const { state, waitSeconds } = await this.#round()
      this.#failures = state === 'failed' ? this.#failures + 1 : 0
      const next =
        state === 'failed'
          ? waitMs(this.#failures, this.#random(), waitSeconds)
          : state === 'waiting'
            ? WAITING_MS
            : QUIET_MS
      this.#due(next)
    } while (this.#again && !this.#isOver)
  }

  /** Sets the timer, unless it rings earlier already. */
  #due(ms: number): void {
    if (this.#isOver) return
    const dueMs = performance.now() + ms
    if (this.#timer !== null && this.#timer.dueMs <= dueMs) return
    this.#clear()
    const handle = this.#timers.set(() => {
      this.#timer = null
      void this.now()
    }, ms)
    this.#timer = { handle, dueMs }
  }

  #clear(): void {
    if (this.#timer !== null) this.#timers.clear(this.#timer.handle)
    this.#timer = null
  }
}
