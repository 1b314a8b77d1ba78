// Sends what is unsent, one sender at a time, and lets nothing go without the server's word for it.
import { BATCH_LIMIT } from '#wire/api-entries.ts'
import { SEND_LOCK } from '../queue/locks.ts'
import type { WithLock } from '../queue/locks.ts'
import { devicesWithUnsent, noteOutcomes, readUnsent } from '../queue/outbox.ts'
import type { Outcome } from '../queue/outbox.ts'
import type { Store, StoredEntry, StoredIdentity } from '../queue/store.ts'
import { currentIdentity } from '../queue/write-entries.ts'
import { meaningOf, outcomesOf } from './answer.ts'
import type { Meaning } from './answer.ts'
import { makeBatch } from './batch.ts'
import type { Connection } from './connection.ts'
import { askOwnState, nextBatchNumber } from './own-state.ts'
import { sendAgainIfLost } from './restored.ts'

/** Entries in the first batch; more once they arrive well, fewer after trouble. */
const FIRST_BATCH = 200
/** How often in one round a batch is numbered anew. */
const RENUMBER_LIMIT = 3
/** Single entries that may fail in one round before it is given up. */
const SUSPECTS_A_ROUND = 3
/** How long the state that the server told is taken as known, in ms. */
const STATE_MS = 10 * 60_000
/** How long a server that has all we gave it is taken to have it still, in ms. */
const LOOK_MS = 60_000

/** The answer to an entry of a device that was revoked meanwhile. */
const isHeld = (outcome: Outcome) =>
  outcome.result === 'set aside' && outcome.problem.code === 'revoked_device'

/** Sends in rounds; a round ends when all is sent or at the first trouble. */
export class Sender {
  readonly #store: Store
  readonly #withLock: WithLock
  readonly #connection: Connection
  readonly #nowMs: () => number
  #batchLimit = FIRST_BATCH
  #stateAskedMs = Number.NEGATIVE_INFINITY
  #lookedMs = Number.NEGATIVE_INFINITY
  /** Entries that the server failed on when they were alone; tried last, one at a time. */
  readonly #suspects = new Set<string>()

  constructor(store: Store, withLock: WithLock, connection: Connection, nowMs: () => number) {
    this.#store = store
    this.#withLock = withLock
    this.#connection = connection
    this.#nowMs = nowMs
  }

  /**
   * Sends everything, entries of an earlier enrolment under the key that signed them. Another tab
   * that sends is waited for. `afterBatch` is called when entries have left the queue.
   */
  async round(afterBatch: () => Promise<void>): Promise<Meaning> {
    return this.#withLock(SEND_LOCK, async () => {
      const current = await currentIdentity(this.#store)
      if (current === null) return { means: 'done' }
      const asked = await this.#askState(current)
      if (asked.means !== 'done') return asked
      await this.#lookForLost(current)
      for (const deviceId of await devicesWithUnsent(this.#store)) {
        const identity = await this.#store.get('identity', deviceId)
        if (identity === undefined) continue
        const meaning = await this.#drain(identity, afterBatch)
        if (meaning.means !== 'done') return this.#failed(meaning)
      }
      return this.#askState(current)
    })
  }

  /** Some answer outside the queue did not let this phone in: the server is asked why. */
  async askWhy(identity: StoredIdentity): Promise<void> {
    this.#stateAskedMs = Number.NEGATIVE_INFINITY
    await this.#askState(identity)
  }

  /** The state is asked again where it may have changed without our knowing. */
  async #askState(identity: StoredIdentity): Promise<Meaning> {
    const age = Math.abs(this.#nowMs() - this.#stateAskedMs)
    if (identity.state === 'active' && age < STATE_MS) return { means: 'done' }
    const meaning = await askOwnState(this.#store, this.#connection, identity)
    if (meaning.means !== 'done') return this.#failed(meaning)
    this.#stateAskedMs = this.#nowMs()
    const state = (await currentIdentity(this.#store))?.state
    return state === 'waiting' ? { means: 'waiting for the office' } : meaning
  }

  /** A server that was set back has been away: after each failure it is looked at again. */
  async #lookForLost(identity: StoredIdentity): Promise<void> {
    if (Math.abs(this.#nowMs() - this.#lookedMs) < LOOK_MS) return
    const found = await sendAgainIfLost(this.#store, this.#connection, identity)
    if (found !== null) this.#lookedMs = this.#nowMs()
  }

  #failed(meaning: Meaning): Meaning {
    this.#stateAskedMs = Number.NEGATIVE_INFINITY
    this.#lookedMs = Number.NEGATIVE_INFINITY
    return meaning
  }

  async #drain(identity: StoredIdentity, afterBatch: () => Promise<void>): Promise<Meaning> {
    const tried = new Set<string>()
    let trouble: Meaning = { means: 'done' }
    for (;;) {
      const entries = await this.#next(identity.deviceId, tried)
      if (entries.length === 0) return trouble
      const meaning = await this.#sendOne(identity, entries)
      if (meaning.means === 'done') {
        await afterBatch()
        continue
      }
      const alone = entries.length === 1 ? entries[0] : undefined
      if (alone === undefined || !this.#suspects.has(alone.id)) return meaning
      // One entry that the server cannot answer must not hold the others back.
      trouble = meaning
      tried.add(alone.id)
      if (tried.size >= SUSPECTS_A_ROUND || meaning.means === 'no network') return meaning
    }
  }

  /** The next entries to be sent together; the suspects, each alone, when nothing else is left. */
  async #next(deviceId: string, tried: ReadonlySet<string>): Promise<readonly StoredEntry[]> {
    const limit = this.#batchLimit
    const unsent = await readUnsent(this.#store, deviceId, limit + this.#suspects.size)
    const sound = unsent.filter(({ id }) => !this.#suspects.has(id))
    if (sound.length > 0) return makeBatch(sound, limit).entries
    return unsent.filter(({ id }) => !tried.has(id)).slice(0, 1)
  }

  async #sendOne(identity: StoredIdentity, entries: readonly StoredEntry[]): Promise<Meaning> {
    const { body } = makeBatch(entries, entries.length)
    for (let attempt = 0; ; attempt += 1) {
      const number = await nextBatchNumber(this.#store, identity.deviceId)
      const request = { method: 'POST', target: '/api/entries', number, body } as const
      const arrived = await this.#connection.numbered(identity, request)
      const meaning = meaningOf(arrived)
      if (meaning.means === 'old number' && attempt < RENUMBER_LIMIT) {
        const asked = await askOwnState(this.#store, this.#connection, identity)
        if (asked.means !== 'done') return asked
        continue
      }
      const outcomes = meaning.means === 'done' ? outcomesOf(arrived.text, entries) : null
      if (outcomes === null) return this.#noteTrouble(meaning, entries)
      await noteOutcomes(this.#store, entries, outcomes, this.#connection.serverMs())
      if (outcomes.some(isHeld)) this.#stateAskedMs = Number.NEGATIVE_INFINITY
      for (const { id } of entries) this.#suspects.delete(id)
      this.#batchLimit = Math.min(BATCH_LIMIT, Math.max(2, this.#batchLimit * 2))
      return { means: 'done' }
    }
  }

  /** Next time fewer go together, so that one that cannot be answered is found. */
  #noteTrouble(meaning: Meaning, entries: readonly StoredEntry[]): Meaning {
    const { means } = meaning
    const isStrange = means === 'done' || means === 'old number'
    const told: Meaning = isStrange ? { means: 'server trouble', waitSeconds: null } : meaning
    if (told.means === 'not let in' || told.means === 'waiting for the office') return told
    this.#batchLimit = Math.max(1, Math.floor(entries.length / 4))
    const [alone] = entries
    const isAnswered = told.means === 'server trouble' || told.means === 'refused'
    if (entries.length === 1 && alone !== undefined && isAnswered) this.#suspects.add(alone.id)
    return told
  }
}
