// Collects the demo's entries with the times they happened, and numbers them device by device.
import { v7 } from 'uuid'
import type { Entry, EntryBody, EntryKind } from '#wire/entry.ts'
import { entryKinds } from '#wire/entry.ts'
import { makeTagCode } from '#trade/tag-code.ts'
import { Chance } from './random.ts'
import { idOf } from './setting.ts'
import type { PersonKey } from './setting.ts'

/** Milliseconds of a minute. */
export const minuteMs = 60_000
const dayMs = 24 * 60 * minuteMs

/** Takes down entries in any order; `finish` puts each device's in the order of its clock. */
export class DemoWriter {
  readonly chance: Chance
  private readonly entries: Entry[] = []

  constructor(seed: number) {
    this.chance = new Chance(seed)
  }

  /** Writes down that `person` reported this at `at`, on their own device. */
  add<K extends EntryKind>(kind: K, at: number, person: PersonKey, body: EntryBody<K>): Entry<K> {
    const entry = {
      id: v7({ msecs: at, random: this.chance.bytes(16) }),
      kind,
      v: entryKinds[kind].v,
      occurredAt: new Date(at).toISOString(),
      device: idOf(`device ${person}`),
      deviceCounter: 0,
      person: idOf(`person ${person}`),
      body,
    } as Entry<K>
    this.entries.push(entry as Entry)
    return entry
  }

  /** What was written down of one kind so far. */
  told<K extends EntryKind>(kind: K): Entry<K>[] {
    return this.entries.filter((entry) => entry.kind === kind) as Entry[] as Entry<K>[]
  }

  /** A tag code that nobody has had yet. */
  tagCode(): string {
    return makeTagCode((count) => this.chance.bytes(count))
  }

  /** All entries by time, each device's numbered from 1 without a gap. */
  finish(): Entry[] {
    const byTime = [...this.entries].sort(
      (a, b) => Date.parse(a.occurredAt) - Date.parse(b.occurredAt) || (a.id < b.id ? -1 : 1),
    )
    const counters = new Map<string, number>()
    return byTime.map((entry) => {
      const counter = (counters.get(entry.device) ?? 0) + 1
      counters.set(entry.device, counter)
      return { ...entry, deviceCounter: counter }
    })
  }
}

/** A time of day on a day of a year: month and day from 1, hours with decimals, UTC. */
export function at(year: number, month: number, day: number, hours: number): number {
  return Date.UTC(year, month - 1, day) + Math.round(hours * 60) * minuteMs
}

/** Some days, or a part of one, later. */
export function daysLater(time: number, days: number): number {
  return time + Math.round((days * dayMs) / minuteMs) * minuteMs
}
