// What the phone knows offline, put together: kept, fetched, with own entries over it, and photos.
import type { Snapshot } from '../phone.ts'
import { noSnapshot } from '../no-snapshot.ts'
import { openPhotoStore, PhotoQueue } from '../photos/photo-queue.ts'
import type { Ask, OwnEntry, SnapshotSource } from '../snapshot-source.ts'
import type { Arrived } from '../sync/answer.ts'
import { fetchSnapshot } from './fetch.ts'
import { withFetched } from './known.ts'
import type { Known } from './known.ts'
import { SnapshotModel } from './model.ts'
import { isKeptOther, openSnapshotStore, readKnown, writeKnown } from './store.ts'
import type { SnapshotStore } from './store.ts'

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
  #own: readonly OwnEntry[] = []
  #model: SnapshotModel | null = null

  private constructor(store: SnapshotStore, photos: PhotoQueue, known: Known | null) {
    this.#store = store
    this.#photos = photos
    this.#known = known
    this.#build()
  }

  /** Opens both databases, named after that of the entries, and reads what is kept. */
  static async open(storeName: string): Promise<LiveSource> {
    const store = await openSnapshotStore(`${storeName} snapshot`)
    const photos = new PhotoQueue(await openPhotoStore(`${storeName} photos`))
    return new LiveSource(store, photos, await readKnown(store))
  }

  get snapshot(): Snapshot {
    return this.#model ?? noSnapshot.snapshot
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

  async refresh(ask: Ask): Promise<Arrived> {
    let last: Arrived | null = null
    const get = async (target: string): Promise<string> => {
      last = await ask.get(target)
      if (last.status !== 200 || !last.isJson) throw new NoSuccess(last)
      return last.text
    }
    try {
      const before = this.#known
      const after = withFetched(before, await fetchSnapshot(get, before))
      // What cannot be laid into what we hold is asked for whole the next time.
      if (after !== null) await writeKnown(this.#store, before, after)
      this.#known = after
      this.#build()
    } catch (error) {
      if (error instanceof NoSuccess) return error.arrived
      // Half an answer, one of another shape, or no room: what we hold stays as it was.
      return unusable(last)
    }
    return last ?? unusable(null)
  }

  async readAgain(): Promise<void> {
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

const nothing = { status: 0, isJson: false, text: '', retryAfterSeconds: null, serverTime: null }

function unusable(last: Arrived | null): Arrived {
  return { ...(last ?? nothing), isJson: false, text: '' }
}
