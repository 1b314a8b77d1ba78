// What the phone knows offline, put together: kept, fetched, with own entries over it, and photos.
import type { KeptTonight, Snapshot } from '../phone.ts'
import { noSnapshot } from '../no-snapshot.ts'
import { openPhotoStore, PhotoQueue } from '../photos/photo-queue.ts'
import type { Ask, OwnEntry, SnapshotSource } from '../snapshot-source.ts'
import type { Arrived } from '../sync/answer.ts'
import { fetchSnapshot } from './fetch.ts'
import type { Get } from './fetch.ts'
import { withFetched } from './known.ts'
import type { Known } from './known.ts'
import { SnapshotModel } from './model.ts'
import {
  isKeptOther,
  openSnapshotStore,
  readKnown,
  readTonight,
  writeKnown,
  writeTonight,
} from './store.ts'
import type { SnapshotStore } from './store.ts'
import { fetchTonight } from './tonight.ts'

/** An answer that is no success: the fetching stops there. */
class NoSuccess extends Error {
  readonly arrived: Arrived

  constructor(arrived: Arrived) {
    super(`the server answered ${arrived.status}`)
    this.name = 'NoSuccess'
    this.arrived = arrived
  }
}

/** Keeps snapshots and photos in databases of their own. */
export class LiveSource implements SnapshotSource {
  readonly #store: SnapshotStore
  readonly #photos: PhotoQueue
  #known: Known | null
  #tonight: KeptTonight | null
  #own: readonly OwnEntry[] = []
  #model: SnapshotModel | null = null

  private constructor(store: SnapshotStore, photos: PhotoQueue, kept: Kept) {
    this.#store = store
    this.#photos = photos
    this.#known = kept.known
    this.#tonight = kept.tonight
    this.#build()
  }

  /** Opens both databases, named after that of the entries, and reads what is kept. */
  static async open(storeName: string): Promise<LiveSource> {
    const store = await openSnapshotStore(`${storeName} snapshot`)
    const photos = new PhotoQueue(await openPhotoStore(`${storeName} photos`))
    const kept = { known: await readKnown(store), tonight: await readTonight(store) }
    return new LiveSource(store, photos, kept)
  }

  get snapshot(): Snapshot {
    return this.#model ?? noSnapshot.snapshot
  }

  get tonight(): KeptTonight | null {
    return this.#tonight
  }

  /** Of head and blocks, the one that is counted in least far. */
  get nextIndex(): number {
    if (this.#known === null) return 0
    const { head, blocks } = this.#known
    return Math.min(head.next, ...[...blocks.values()].map(({ next }) => next))
  }

  get takenMs(): number {
    return this.#known === null ? 0 : Date.parse(this.#known.head.takenAt)
  }

  layOver(entries: readonly OwnEntry[]): void {
    this.#own = entries
    this.#build()
  }

  layOverMore(entries: readonly OwnEntry[]): void {
    const isUndoing = entries.some(({ kind }) => kind === 'entry.withdrawn')
    this.#own = [...this.#own, ...entries]
    if (isUndoing) this.#build()
    else for (const entry of entries) this.#model?.add(entry)
  }

  refresh(ask: Ask): Promise<Arrived> {
    return asking(ask, async (get) => {
      const before = this.#known
      const after = withFetched(before, await fetchSnapshot(get, before))
      // What cannot be laid into what we hold is asked for whole the next time.
      if (after !== null) await writeKnown(this.#store, before, after)
      this.#known = after
      this.#build()
    })
  }

  fetchTonight(ask: Ask, rowIds: readonly string[], fetchedAt: string): Promise<Arrived> {
    return asking(ask, async (get) => {
      const lotOf = (lotId: string) => this.snapshot.lot(lotId)
      const fetched = await fetchTonight(get, rowIds, fetchedAt, lotOf)
      await writeTonight(this.#store, fetched)
      this.#tonight = fetched
    })
  }

  async readAgain(): Promise<void> {
    this.#tonight = await readTonight(this.#store)
    if (!(await isKeptOther(this.#store, this.#known))) return
    this.#known = await readKnown(this.#store)
    this.#build()
  }

  keepPhoto(entryId: string, photo: Blob): Promise<void> {
    return this.#photos.keep(entryId, photo)
  }

  sendPhotos(ask: Ask): Promise<Arrived | null> {
    return this.#photos.send(ask)
  }

  #build(): void {
    this.#model = this.#known === null ? null : new SnapshotModel(this.#known, this.#own)
  }
}

interface Kept {
  readonly known: Known | null
  readonly tonight: KeptTonight | null
}

/** The last answer; of several the first that is no success, after which nothing more is done. */
async function asking(ask: Ask, take: (get: Get) => Promise<void>): Promise<Arrived> {
  let last: Arrived | null = null
  const get = async (target: string): Promise<string> => {
    last = await ask.get(target)
    if (last.status !== 200 || !last.isJson) throw new NoSuccess(last)
    return last.text
  }
  try {
    await take(get)
  } catch (error) {
    if (error instanceof NoSuccess) return error.arrived
    // Half an answer, one of another shape, or no room: what we hold stays as it was.
    return unusable(last)
  }
  return last ?? unusable(null)
}

const nothing = { status: 0, isJson: false, text: '', retryAfterSeconds: null, serverTime: null }

function unusable(last: Arrived | null): Arrived {
  return { ...(last ?? nothing), isJson: false, text: '' }
}
