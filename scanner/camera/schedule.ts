// Spreads decoding attempts over successive frames, so that each frame costs no more than its time.
import type { Sighting } from './agreement.ts'
import { ATTEMPTS } from './attempts.ts'
import type { Attempt } from './attempts.ts'
import type { Decoders, Seen } from './decoders.ts'
import { withoutArea } from './picture.ts'
import type { Picture, Point } from './picture.ts'
import { sameThingKey } from './read-text.ts'
import { Views } from './views.ts'

/** Time for one frame, in ms, unless told otherwise: about seven frames a second. */
export const FRAME_BUDGET_MS = 140
/** How many times a picture is searched again with what was read painted over. */
const SEARCH_AGAIN_LIMIT = 3
/** White and error around a symbol that is painted over with it, as a share of its side. */
const MARGIN_SHARE = 0.35
/** Longest wait for the browser's own detector on one frame, in ms. */
const BROWSER_WAIT_LIMIT_MS = 1_000
/** Weight of the newest time in an attempt's running mean. */
const NEWEST_WEIGHT = 0.3

export interface ScheduleOptions {
  /** Time for one frame, in ms. */
  readonly budgetMs?: number
  /** A clock in ms that never falls. */
  readonly clock: () => number
  readonly attempts?: readonly Attempt[]
}

/** Looks at frame after frame. */
export class Schedule {
  readonly #decoders: Decoders
  readonly #clock: () => number
  readonly #budgetMs: number
  readonly #every: readonly Attempt[]
  readonly #ring: readonly Attempt[]
  /** The attempt of the ring that comes next. */
  #next = 0
  /** The attempt of the ring that read the last frame, to be tried first on this one. */
  #lucky: Attempt | null = null
  /** What an attempt usually takes, in ms. */
  readonly #usualMs = new Map<string, number>()
  #browserWorks = true

  constructor(decoders: Decoders, options: ScheduleOptions) {
    const attempts = options.attempts ?? ATTEMPTS
    this.#decoders = decoders
    this.#clock = options.clock
    this.#budgetMs = options.budgetMs ?? FRAME_BUDGET_MS
    this.#every = attempts.filter(({ everyFrame }) => everyFrame)
    this.#ring = attempts.filter(({ everyFrame }) => !everyFrame)
  }

  /**
   * What this frame's share of attempts saw. The attempts of every frame come first; then the ring
   * goes on where the last frame left it, at least one attempt, until the time is used up or
   * enough was read. Then the picture is searched again without what was read, for a second
   * tag: a decoder that reads one symbol would hide it.
   */
  async look(frame: Picture): Promise<Sighting[]> {
    const begunMs = this.#clock()
    const views = new Views(frame)
    const browser = this.#askBrowser(frame)
    const sightings: Sighting[] = []
    const seen: Seen[] = []
    const note = (attempt: string, marginal: boolean, found: readonly Seen[]) => {
      for (const one of found) {
        seen.push(one)
        sightings.push({ text: one.text, attempt, marginal: marginal || one.marginal })
      }
    }
    const tryOut = async (attempt: Attempt) => {
      const found = await this.#run(attempt, views)
      note(attempt.name, attempt.marginal, found)
      return found.length > 0
    }
    for (const attempt of this.#every) await tryOut(attempt)
    const lucky = isSettled(sightings) ? null : this.#lucky
    this.#lucky = null
    if (lucky !== null && (await tryOut(lucky))) this.#lucky = lucky
    for (let nr = 0; nr < this.#ring.length && !isSettled(sightings); nr += 1) {
      const attempt = this.#ring[this.#next]
      if (attempt === undefined) break
      const usedMs = this.#clock() - begunMs
      const usualMs = this.#usualMs.get(attempt.name) ?? 0
      if (nr > 0 && usedMs + usualMs > this.#budgetMs) break
      this.#next = (this.#next + 1) % this.#ring.length
      if (attempt !== lucky && (await tryOut(attempt))) this.#lucky = attempt
    }
    note('browser', false, await browser)
    if (seen.length > 0) note('beside', false, await this.#searchBeside(frame, seen))
    return oncePerAttempt(sightings)
  }

  async #run(attempt: Attempt, views: Views): Promise<readonly Seen[]> {
    const begunMs = this.#clock()
    const found = await attempt.look(views, this.#decoders)
    const tookMs = this.#clock() - begunMs
    const usualMs = this.#usualMs.get(attempt.name) ?? tookMs
    this.#usualMs.set(attempt.name, usualMs + NEWEST_WEIGHT * (tookMs - usualMs))
    return found
  }

  /** The browser's detector works beside this thread; once it fails it is not asked again. */
  async #askBrowser(frame: Picture): Promise<readonly Seen[]> {
    const { browser } = this.#decoders
    if (browser === null || !this.#browserWorks) return []
    let timer: ReturnType<typeof setTimeout> | undefined
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new Error('the detector is too slow')), BROWSER_WAIT_LIMIT_MS)
    })
    try {
      return await Promise.race([browser(frame), late])
    } catch {
      this.#browserWorks = false
      return []
    } finally {
      clearTimeout(timer)
    }
  }

  async #searchBeside(frame: Picture, seen: readonly Seen[]): Promise<Seen[]> {
    const beside: Seen[] = []
    let picture = frame
    let toPaint: readonly Seen[] = seen
    for (let nr = 0; nr < SEARCH_AGAIN_LIMIT && toPaint.length > 0; nr += 1) {
      for (const { corners } of toPaint) {
        picture = withoutArea(picture, corners, sideOf(corners) * MARGIN_SHARE)
      }
      toPaint = await searchAgain(new Views(picture), this.#decoders)
      beside.push(...toPaint)
    }
    return beside
  }
}

/** Both decoders, on the whole picture and on its liveliest places. */
async function searchAgain(views: Views, decoders: Decoders): Promise<Seen[]> {
  const whole = await decoders.wasm(views.whole.picture, { binarizer: 'local' })
  if (whole.length > 0) return whole
  for (const nr of [0, 1]) {
    const view = views.placeDoubled(nr, 320)
    if (view === null) break
    const near = await decoders.wasm(view.picture, { binarizer: 'local' })
    const found = near.length > 0 ? near : decoders.library(view.picture, 'local')
    if (found.length > 0) {
      return found.map((one) => ({ ...one, corners: one.corners.map(view.toFrame) }))
    }
  }
  return []
}

/** Whether this frame has said enough: a firm read, or two marginal ones of the same thing. */
function isSettled(sightings: readonly Sighting[]): boolean {
  if (sightings.some(({ marginal }) => !marginal)) return true
  const once = oncePerAttempt(sightings)
  return new Set(once.map(({ text }) => sameThingKey(text))).size < once.length
}

function sideOf(corners: readonly Point[]): number {
  const xs = corners.map(({ x }) => x)
  const ys = corners.map(({ y }) => y)
  return Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys))
}

/** Copies along one tag are one sighting; a firm one stands for marginal ones beside it. */
function oncePerAttempt(sightings: readonly Sighting[]): Sighting[] {
  const kept = new Map<string, Sighting>()
  for (const sighting of sightings) {
    const key = `${sighting.attempt} ${sameThingKey(sighting.text)}`
    const before = kept.get(key)
    if (before === undefined || (before.marginal && !sighting.marginal)) kept.set(key, sighting)
  }
  return [...kept.values()]
}
