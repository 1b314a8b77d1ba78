// Phones that send a season batch by batch, and note each id before it is sent and when it is
// acknowledged, so that afterwards exact sets can be compared.
import { sql } from 'kysely'
import { setTimeout as sleep } from 'node:timers/promises'
import { hashToken, newToken } from '../../api/platform/token.ts'
import { verify } from '../../api/journal/verify.ts'
import { entryKinds } from '#wire/entry.ts'
import type { Entry } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import { randomSeason } from '../sim/season.ts'

const batchSize = 7
const pauseMs = 20

/** Where requests go: over the network to a server, or into an app. */
export type Door = (path: string, init: RequestInit) => Promise<Response>

/** One phone: its entries, and what became of them as far as the phone can know. */
export class Sender {
  readonly deviceId: string
  readonly sent = new Set<string>()
  readonly acknowledged = new Set<string>()
  /** Status codes of answers other than 200, and answers that set something aside, counted. */
  readonly refusals = new Map<string, number>()
  private readonly entries: Entry[]
  private readonly token = newToken()
  private next = 0

  constructor(seed: number, size: number) {
    this.entries = randomSeason(seed, size, 1)
    this.deviceId = this.entries[0]?.device ?? ''
  }

  /** Lets this phone in, as the office would. */
  async enrol(db: Database): Promise<void> {
    const device = {
      device_id: this.deviceId,
      name: 'Field phone',
      token_hash: hashToken(this.token),
      // A season holds what the office does as well, and this phone sends it all.
      write_kinds: Object.keys(entryKinds),
    }
    await db.insertInto('device').values(device).execute()
  }

  get isDone(): boolean {
    return this.next >= this.entries.length
  }

  /** Begins again with the first entry, as a phone that sends all that it still has. */
  rewind(): void {
    this.next = 0
  }

  /** Sends one batch after another until all are acknowledged or `isOver` says so. */
  async run(door: Door, isOver: () => boolean = () => false): Promise<void> {
    while (!this.isDone && !isOver()) {
      if (!(await this.sendOne(door))) await sleep(pauseMs)
    }
  }

  /** Sends the next batch; the same again when no answer came. */
  async sendOne(door: Door): Promise<boolean> {
    const batch = this.entries.slice(this.next, this.next + batchSize)
    for (const { id } of batch) this.sent.add(id)
    let response: Response
    try {
      response = await door('/api/entries', {
        method: 'POST',
        headers: { authorization: `Bearer ${this.token}`, 'content-type': 'application/json' },
        body: JSON.stringify({ entries: batch }),
      })
      const text = await response.text()
      if (response.status !== 200) return this.refused(String(response.status))
      const { results } = JSON.parse(text) as { results: { id: string; result: string }[] }
      for (const { id, result } of results) {
        if (result === 'set aside') this.refused(text)
        else this.acknowledged.add(id)
      }
    } catch {
      return this.refused('no answer')
    }
    this.next += batch.length
    return true
  }

  private refused(how: string): boolean {
    this.refusals.set(how, (this.refusals.get(how) ?? 0) + 1)
    return false
  }
}

/** What all senders together know. */
export function known(senders: readonly Sender[]) {
  return {
    sent: new Set(senders.flatMap((sender) => [...sender.sent])),
    acknowledged: new Set(senders.flatMap((sender) => [...sender.acknowledged])),
  }
}

/** Compares what stands in the journal with what was sent and acknowledged, and verifies it all. */
export async function account(db: Database, senders: readonly Sender[]) {
  const { sent, acknowledged } = known(senders)
  const { rows } = await sql<{ id: string }>`select id from entry`.execute(db)
  const present = new Set(rows.map(({ id }) => id))
  const outcome = await verify(db)
  return {
    lost: [...acknowledged].filter((id) => !present.has(id)),
    neverSent: [...present].filter((id) => !sent.has(id)),
    twice: rows.length - present.size,
    difference: 'difference' in outcome ? outcome.difference : null,
    figures: { sent: sent.size, acknowledged: acknowledged.size, present: present.size },
  }
}

/** What `account` gives when nothing is wrong, beside its figures. */
export const nothingWrong = { lost: [], neverSent: [], twice: 0, difference: null }

/** The Park–Miller generator, so that rounds differ and yet can be repeated. */
export function lehmer(seed: number): () => number {
  let state = seed
  return () => {
    state = (state * 48_271) % 2_147_483_647
    return state / 2_147_483_647
  }
}
