// Writes well-formed entries for tests: ids by name, gapless counters, rising times.
import { createHash } from 'node:crypto'
import type { Entry, EntryBody, EntryKind } from '#wire/entry.ts'
import { entryKinds } from '#wire/entry.ts'

/** A source of random numbers that gives the same ones for the same seed (mulberry32). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** An id that is the same for the same name, in UUIDv7 form. */
export function idOf(name: string): string {
  const hex = createHash('sha256').update(name).digest('hex')
  return (
    `${hex.slice(0, 8)}-${hex.slice(8, 12)}-7${hex.slice(13, 16)}` +
    `-8${hex.slice(17, 20)}-${hex.slice(20, 32)}`
  )
}

/** Writes entries for one device after another, with gapless counters and rising times. */
export class EntryWriter {
  readonly entries: Entry[] = []
  protected readonly label: string
  private readonly counters = new Map<string, number>()
  private readonly random: () => number
  private time: number

  constructor(random: () => number, startsAt: string, label = 'season') {
    this.random = random
    this.time = Date.parse(startsAt)
    this.label = label
  }

  /** Moves the clock on. */
  wait(hours: number): void {
    this.time += hours * 3_600_000
  }

  /** A device numbers an entry that never arrives. */
  loseOne(device: string): void {
    this.counters.set(device, (this.counters.get(device) ?? 0) + 1)
  }

  /** A device forgets its last number and gives it again. */
  numberAgain(device: string): void {
    this.counters.set(device, Math.max(0, (this.counters.get(device) ?? 0) - 1))
  }

  /**
   * Appends an entry; `minutesLater` moves the clock first, `minutesAgo` tells of something that
   * was done earlier without moving it.
   */
  add<K extends EntryKind>(
    kind: K,
    body: EntryBody<K>,
    by: { device?: string; person?: string; minutesLater?: number; minutesAgo?: number } = {},
  ): Entry<K> {
    const device = by.device ?? idOf(`${this.label} device 0`)
    const counter = (this.counters.get(device) ?? 0) + 1
    this.counters.set(device, counter)
    this.time += (by.minutesLater ?? 1) * 60_000
    const entry = {
      id: idOf(`${this.label} entry ${this.entries.length} ${this.random()}`),
      kind,
      v: entryKinds[kind].v,
      occurredAt: new Date(this.time - (by.minutesAgo ?? 0) * 60_000).toISOString(),
      device,
      deviceCounter: counter,
      person: by.person ?? idOf(`${this.label} person 0`),
      body,
    } as Entry<K>
    this.entries.push(entry as Entry)
    return entry
  }
}
