// Decides from what single attempts saw when a text is sure, and when several must be asked about.
import { kindOfText, sameThingKey } from './read-text.ts'
import type { TextKind } from './read-text.ts'

/** What the camera tells the screen. With several texts the screen asks which one is meant. */
export type CameraRead =
  | { readonly kind: 'one'; readonly text: string }
  | { readonly kind: 'several'; readonly texts: readonly string[] }

/** One symbol as one attempt saw it. */
export interface Sighting {
  readonly text: string
  /** Which attempt saw it. */
  readonly attempt: string
  /** A read of low confidence: it counts only once another attempt or frame agrees. */
  readonly marginal: boolean
}

/** How long two marginal reads may lie apart to confirm one another, in ms. */
export const AGREE_WINDOW_MS = 2_000
/** Two things seen within this time count as being in view together, in ms. */
export const TOGETHER_MS = 400
/** The same once both were seen in one frame, or nothing was told yet, in ms. */
export const TOGETHER_ASKED_MS = 1_500
/** A thing is told again only after it was out of view for this long, in ms. */
export const AGAIN_MS = 1_500
/** And for at least so many frames: on a slow phone one missed frame takes long. */
export const AGAIN_FRAMES = 3
/** Most things that are remembered; the longest unseen goes first. */
const THINGS_LIMIT = 64

interface Thing {
  readonly key: string
  readonly text: string
  readonly kind: TextKind
  /** Reads of the last AGREE_WINDOW_MS. */
  reads: { atMs: number; frame: number; attempt: string; marginal: boolean }[]
  lastSeenMs: number
  /** Number of the frame that showed it last. */
  lastFrame: number
}

/** Takes in the sightings of frame after frame and says what may be told. */
export class Agreement {
  #things = new Map<string, Thing>()
  #frame = 0
  /** What was told last, and since when frames have shown none of it. */
  #told: { keys: readonly string[]; missedSinceMs: number; missedFrames: number } | null = null

  /**
   * @param sightings what all attempts on one frame saw
   * @param nowMs time of the frame, never falling, in ms
   * @returns what to tell the screen now, or null for nothing (new)
   */
  take(sightings: readonly Sighting[], nowMs: number): CameraRead | null {
    this.#frame += 1
    for (const sighting of sightings) {
      // A ruined symbol may come out as an empty text, which is nothing to tell.
      if (sighting.text.trim() !== '') this.#note(sighting, nowMs)
    }
    this.#watchTold(nowMs)
    this.#forgetOld(nowMs)
    const inView = this.#inView(nowMs)
    const sure = inView.filter(isSure)
    const first = sure[0]
    if (first === undefined) return null
    // Another one was seen dimly: wait until it is confirmed or out of view, rather than guess.
    if (inView.some((thing) => thing.kind !== 'foreign' && !isSure(thing))) return null
    return this.#tell(sure)
  }

  /** Lets the thing in view be told once more, as after the screen closed its card. */
  again(): void {
    this.#told = null
    this.#things.clear()
  }

  #note({ text, attempt, marginal }: Sighting, atMs: number): void {
    const key = sameThingKey(text)
    const kind = kindOfText(text)
    const thing = this.#things.get(key) ?? {
      ...{ key, text, kind, reads: [] },
      ...{ lastSeenMs: atMs, lastFrame: this.#frame },
    }
    thing.reads.push({ atMs, frame: this.#frame, attempt, marginal })
    thing.lastSeenMs = atMs
    thing.lastFrame = this.#frame
    // Set again, so that the map's order is by last sight.
    this.#things.delete(key)
    this.#things.set(key, thing)
  }

  /** Only frames without it count as out of view: on a slow phone frames lie far apart. */
  #watchTold(nowMs: number): void {
    const told = this.#told
    if (told === null) return
    const isSeen = told.keys.some((key) => this.#things.get(key)?.lastFrame === this.#frame)
    if (!isSeen) {
      if (told.missedFrames === 0) told.missedSinceMs = nowMs
      told.missedFrames += 1
    } else if (told.missedFrames >= AGAIN_FRAMES && nowMs - told.missedSinceMs > AGAIN_MS) {
      this.#told = null
    } else told.missedFrames = 0
  }

  #forgetOld(nowMs: number): void {
    for (const [key, thing] of this.#things) {
      thing.reads = thing.reads.filter(({ atMs }) => nowMs - atMs <= AGREE_WINDOW_MS)
      if (thing.reads.length === 0) this.#things.delete(key)
    }
    for (const key of this.#things.keys()) {
      if (this.#things.size <= THINGS_LIMIT) break
      this.#things.delete(key)
    }
  }

  /** Tags and handovers in view; foreign texts, with which nothing can be done, only without. */
  #inView(nowMs: number): Thing[] {
    const told = this.#told
    const recent = [...this.#things.values()].filter((thing) => {
      const wasToldAlone = told?.keys.length === 1 && told.keys[0] === thing.key
      return nowMs - thing.lastSeenMs <= (wasToldAlone ? TOGETHER_MS : TOGETHER_ASKED_MS)
    })
    const own = recent.filter(({ kind }) => kind !== 'foreign')
    return own.length > 0 ? own : recent
  }

  #tell(sure: readonly Thing[]): CameraRead | null {
    const keys = sure.map(({ key }) => key).sort()
    if (this.#told?.keys.join('\n') === keys.join('\n')) return null
    if (!sure.some(({ lastFrame }) => lastFrame === this.#frame)) return null
    this.#told = { keys, missedSinceMs: 0, missedFrames: 0 }
    const texts = sure.map(({ text }) => text)
    const [only] = texts
    if (texts.length === 1 && only !== undefined) return { kind: 'one', text: only }
    return { kind: 'several', texts: [...texts].sort() }
  }
}

/**
 * A tag's text carries a check character, so one firm read is enough; a marginal one needs another
 * attempt or frame that agrees. Other text carries no check of ours: two frames must agree.
 */
function isSure({ kind, reads }: Thing): boolean {
  const frames = new Set(reads.map(({ frame }) => frame))
  if (kind !== 'tag') return frames.size >= 2
  if (reads.some(({ marginal }) => !marginal)) return true
  return new Set(reads.map(({ frame, attempt }) => `${frame} ${attempt}`)).size >= 2
}
