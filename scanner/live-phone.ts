// The phone's inside as one object: queue, key, sending and what is known offline, put together.
import type {
  Draft,
  EnrolAnswer,
  Identity,
  KeptTonight,
  Phone,
  RecentEntry,
  SendState,
  Settings,
  StorageState,
  TonightAnswer,
  Unsent,
  Written,
} from './phone.ts'
import { WriteError } from './phone.ts'
import { enrolPhone } from './keys/enrol.ts'
import { EntryIds } from './queue/entry-ids.ts'
import { exportFile } from './queue/export-file.ts'
import { isoWithOffset } from './queue/occurred-at.ts'
import { entriesNotIn, letGo, outboxFigures } from './queue/outbox.ts'
import type { OutboxFigures } from './queue/outbox.ts'
import { bodyOf, ownEntry, recentEntries } from './queue/own-entries.ts'
import { openStore } from './queue/store.ts'
import type { Store, StoredEntry, StoredIdentity } from './queue/store.ts'
import { currentIdentity, writeEntries } from './queue/write-entries.ts'
import { keepSettings, readSettings } from './settings.ts'
import type { SnapshotSource } from './snapshot-source.ts'
import type { Meaning } from './sync/answer.ts'
import { meaningOf } from './sync/answer.ts'
import { Connection } from './sync/connection.ts'
import { Schedule } from './sync/schedule.ts'
import type { RoundEnd } from './sync/schedule.ts'
import { Sender } from './sync/sender.ts'
import { LiveSource } from './snapshot/live-source.ts'
import { browserWorld } from './world.ts'
import type { World } from './world.ts'

/** The phone, ready to be written to; sending begins by itself. */
export async function openPhone(): Promise<Phone> {
  const world = browserWorld()
  const phone = await LivePhone.open(world, await LiveSource.open(world.storeName))
  const trySoon = () => void phone.sync()
  // Both are hints that it may be worth a try now; nothing depends on them.
  globalThis.addEventListener('online', trySoon)
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') trySoon()
  })
  trySoon()
  return phone
}

/** Implements what the screens may ask for. */
export class LivePhone implements Phone {
  readonly #world: World
  readonly #store: Store
  readonly #source: SnapshotSource
  readonly #connection: Connection
  readonly #sender: Sender
  readonly #schedule: Schedule
  readonly #ids: EntryIds
  readonly #listeners = new Set<() => void>()
  #identity: StoredIdentity | null = null
  #settings: Settings
  #figures: OutboxFigures = { count: 0, oldestAt: null, setAside: [] }
  #lastSentMs: number | null = null
  #state: SendState = 'idle'
  #storage: StorageState = { persisted: false, usedBytes: null, quotaBytes: null }
  #unsent: Unsent | null = null

  private constructor(parts: Parts) {
    const { world, store, source, connection, ids, settings } = parts
    const nowMs = () => world.now().getTime()
    this.#world = world
    this.#store = store
    this.#source = source
    this.#connection = connection
    this.#ids = ids
    this.#settings = settings
    this.#sender = new Sender(store, world.withLock, connection, nowMs)
    this.#schedule = new Schedule(() => this.#round(), world.random, world.timers)
  }

  /** Opens the phone's store and reads what stands in it; sends nothing yet. */
  static async open(world: World, source: SnapshotSource): Promise<LivePhone> {
    const store = await openStore(world.storeName)
    const nowMs = () => world.now().getTime()
    const connection = await Connection.open(store, world.fetch, nowMs)
    const ids = new EntryIds((await store.get('number', 'id ms')) ?? 0, world.random)
    const settings = await readSettings(store, world.languages)
    const phone = new LivePhone({ world, store, source, connection, ids, settings })
    await phone.#reload()
    phone.#storage = await world.storage(phone.#identity !== null)
    world.tabs.listen(() => void phone.#changedElsewhere())
    return phone
  }

  get identity(): Identity | null {
    if (this.#identity === null) return null
    const { deviceId, deviceName, fingerprint, state } = this.#identity
    return { deviceId, deviceName, fingerprint, state }
  }

  get settings(): Settings {
    return this.#settings
  }

  get snapshot() {
    return this.#source.snapshot
  }

  get storage(): StorageState {
    return this.#storage
  }

  get unsent(): Unsent {
    const lastSentAt = this.#lastSentMs === null ? null : new Date(this.#lastSentMs).toISOString()
    this.#unsent ??= {
      ...this.#figures,
      state: this.#identity === null ? 'not enrolled' : this.#state,
      lastSentAt,
      clockOffsetMs: this.#connection.clockOffsetMs,
    }
    return this.#unsent
  }

  onChange(listener: () => void): () => void {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  now(): Date {
    return this.#world.now()
  }

  newId(): string {
    return this.#ids.next(this.#world.now().getTime())
  }

  async change(settings: Partial<Settings>): Promise<void> {
    const next = { ...this.#settings, ...settings }
    await keepSettings(this.#store, next)
    this.#settings = next
    this.#world.tabs.tell()
    this.#tell()
  }

  async write(draft: Draft): Promise<Written> {
    const [written] = await this.writeAll([draft])
    if (written === undefined) throw new Error('assertion failed: one draft gives one entry')
    return written
  }

  async writeAll(drafts: readonly Draft[]): Promise<readonly Written[]> {
    const now = this.#world.now()
    const person = this.#settings.personId
    if (this.#identity === null) throw new WriteError('not enrolled')
    if (person === null) throw new WriteError('no person')
    const occurredAt = isoWithOffset(now, this.#world.offsetMinutes(now))
    const moment = { occurredAt, nowMs: now.getTime(), person }
    const writer = { store: this.#store, withLock: this.#world.withLock, ids: this.#ids }
    const entries = await writeEntries(writer, drafts, moment)
    this.#wrote(entries)
    return entries.map(writtenOf)
  }

  async recent(limit: number): Promise<readonly RecentEntry[]> {
    if (this.#identity === null) return []
    const entries = await recentEntries(this.#store, this.#identity.deviceId, limit)
    return entries.map((entry) => ({
      written: writtenOf(entry),
      body: bodyOf(entry),
      sent: entry.state !== 'unsent',
    }))
  }

  keepPhoto(entryId: string, photo: Blob): Promise<void> {
    return this.#source.keepPhoto(entryId, photo)
  }

  async enrol(code: string): Promise<EnrolAnswer> {
    const answer = await enrolPhone(this.#store, this.#connection, code)
    if (typeof answer === 'string') return { result: answer }
    this.#storage = await this.#world.storage(true)
    await this.#reload()
    this.#world.tabs.tell()
    this.#tell()
    void this.#schedule.now()
    const { deviceId, deviceName, fingerprint, state } = answer
    return { result: 'enrolled', identity: { deviceId, deviceName, fingerprint, state } }
  }

  get tonight(): KeptTonight | null {
    return this.#source.tonight
  }

  /** What is unsent goes first, and the records are fetched: the list is worked out of both. */
  async fetchTonight(rowIds: readonly string[]): Promise<TonightAnswer> {
    if (this.#identity === null) return 'not let in'
    await this.#schedule.now()
    const ask = this.#connection.asker(this.#identity)
    const fetchedAt = new Date(this.#connection.serverMs()).toISOString()
    const { means } = meaningOf(await this.#source.fetchTonight(ask, rowIds, fetchedAt))
    this.#world.tabs.tell()
    this.#tell()
    if (means === 'done') return 'fetched'
    return means === 'no network' || means === 'not let in' ? means : 'server trouble'
  }

  sync(): Promise<void> {
    return this.#schedule.now()
  }

  exportUnsent(): Promise<Blob> {
    return exportFile(this.#store)
  }

  /** Ends sending and closes the store. */
  close(): void {
    this.#schedule.stop()
    this.#store.close()
  }

  /** After entries were committed: shown at once, counted from the store soon after. */
  #wrote(entries: readonly StoredEntry[]): void {
    const { count, oldestAt, setAside } = this.#figures
    const first = entries[0]?.occurredAt ?? null
    this.#figures = { count: count + entries.length, oldestAt: oldestAt ?? first, setAside }
    this.#source.layOverMore(entries.map(ownEntry))
    this.#world.tabs.tell()
    this.#tell()
    this.#schedule.afterWrite()
    // What it takes back may be in the snapshot already: then the store has to tell what it was.
    if (!entries.some(({ kind }) => kind === 'entry.withdrawn')) return
    void this.#reload().then(
      () => this.#tell(),
      () => undefined,
    )
  }

  async #round(): Promise<RoundEnd> {
    if (this.#identity === null) return { state: 'well', waitSeconds: null }
    this.#show('sending')
    const meaning = await this.#exchange(this.#identity)
    await this.#reload()
    this.#world.tabs.tell()
    this.#show(stateAfter(meaning, this.#identity))
    if (meaning.means === 'done') return { state: 'well', waitSeconds: null }
    const waitSeconds = meaning.means === 'server trouble' ? meaning.waitSeconds : null
    const isWaiting = meaning.means === 'waiting for the office'
    return { state: isWaiting ? 'waiting' : 'failed', waitSeconds }
  }

  /** A phone that was revoked with nothing to send learns so from what it may not read. */
  async #exchange(identity: StoredIdentity): Promise<Meaning> {
    const meaning = await this.#sendAndFetch(identity)
    if (meaning.means === 'not let in') await this.#sender.askWhy(identity)
    return meaning
  }

  /** Sends entries first, then photos, then fetches what is new; stops at the first trouble. */
  async #sendAndFetch(identity: StoredIdentity): Promise<Meaning> {
    const afterBatch = async () => {
      this.#figures = await outboxFigures(this.#store)
      this.#tell()
    }
    const sent = await this.#sender.round(afterBatch)
    const isActive = (await currentIdentity(this.#store))?.state === 'active'
    if (sent.means !== 'done' || !isActive) return sent
    const ask = this.#connection.asker(identity)
    const photos = await this.#source.sendPhotos(ask)
    if (photos !== null && meaningOf(photos).means !== 'done') return meaningOf(photos)
    const fetched = meaningOf(await this.#source.refresh(ask))
    if (fetched.means !== 'done') return fetched
    await letGo(this.#store, this.#connection.serverMs(), this.#source.nextIndex)
    return fetched
  }

  async #changedElsewhere(): Promise<void> {
    this.#settings = await readSettings(this.#store, this.#world.languages)
    await this.#source.readAgain()
    await this.#reload()
    this.#tell()
  }

  /** Reads everything that the screens show from the store. */
  async #reload(): Promise<void> {
    const [identity, figures, lastSentMs, own] = await Promise.all([
      currentIdentity(this.#store),
      outboxFigures(this.#store),
      this.#store.get('number', 'last sent ms'),
      entriesNotIn(this.#store, this.#source),
    ])
    this.#identity = identity
    this.#figures = figures
    this.#lastSentMs = lastSentMs ?? null
    this.#source.layOver(own.map(ownEntry))
    this.#unsent = null
  }

  #show(state: SendState): void {
    this.#state = state
    this.#tell()
  }

  #tell(): void {
    this.#unsent = null
    for (const listener of this.#listeners) listener()
  }
}

interface Parts {
  readonly world: World
  readonly store: Store
  readonly source: SnapshotSource
  readonly connection: Connection
  readonly ids: EntryIds
  readonly settings: Settings
}

function writtenOf({ id, kind, occurredAt, deviceCounter }: StoredEntry): Written {
  return { id, kind: kind as Written['kind'], occurredAt, deviceCounter }
}

function stateAfter(meaning: Meaning, identity: StoredIdentity | null): SendState {
  if (identity?.state === 'revoked') return 'revoked'
  switch (meaning.means) {
    case 'done':
      return 'idle'
    case 'no network':
    case 'not let in':
    case 'waiting for the office':
      return meaning.means
    default:
      return 'server trouble'
  }
}
