// Keeps photos on the phone, each beside its entry, until the server has them.
import { openDB } from 'idb'
import type { DBSchema, IDBPDatabase } from 'idb'
import { PHOTO_BYTE_LIMIT, photoTypeOf } from '#wire/api-photos.ts'
import type { PhotoType } from '#wire/api-photos.ts'
import type { Ask } from '../snapshot-source.ts'
import type { Arrived } from '../sync/answer.ts'

/** A photo that waits; one that the server will not take stays here, with its reason. */
export interface KeptPhoto {
  readonly entryId: string
  readonly type: PhotoType
  readonly bytes: ArrayBuffer
  /** The status of the answer that refused it for good; null while it waits. */
  readonly refused: number | null
}

interface Stores extends DBSchema {
  photo: { key: number; value: KeptPhoto }
}

export type PhotoStore = IDBPDatabase<Stores>

/** Opens the photos’ own database, so that many photos can never push an entry out. */
export async function openPhotoStore(name: string): Promise<PhotoStore> {
  const store: PhotoStore = await openDB<Stores>(name, 1, {
    upgrade(db) {
      db.createObjectStore('photo', { autoIncrement: true })
    },
    blocking() {
      store.close()
    },
  })
  return store
}

/** Thrown when a photo cannot be kept at all; the entry stands without it. */
export class PhotoError extends Error {
  readonly trouble: 'too large' | 'not a photo'

  constructor(trouble: 'too large' | 'not a photo') {
    super(trouble)
    this.name = 'PhotoError'
    this.trouble = trouble
  }
}

/** Answers after which the same photo would be refused again. */
const forGood: ReadonlySet<number> = new Set([400, 403, 409, 413, 415, 422])

/** Photos in the order in which they were kept. */
export class PhotoQueue {
  readonly #store: PhotoStore

  constructor(store: PhotoStore) {
    this.#store = store
  }

  /** @throws PhotoError, or what the database throws when it is full; then nothing is kept */
  async keep(entryId: string, photo: Blob): Promise<void> {
    if (photo.size > PHOTO_BYTE_LIMIT) throw new PhotoError('too large')
    const bytes = await photo.arrayBuffer()
    const type = photoTypeOf(new Uint8Array(bytes))
    if (type === null) throw new PhotoError('not a photo')
    const trx = this.#store.transaction('photo', 'readwrite', { durability: 'strict' })
    // When the request fails, `done` tells why.
    trx.store.add({ entryId, type, bytes, refused: null }).catch(() => undefined)
    await trx.done
  }

  /**
   * Sends what waits. A photo whose entry has not arrived yet is passed over, and one that was
   * refused stays. Null when nothing was sent; else the last answer, or the first that shows
   * trouble with the network, the server or this phone’s rights.
   */
  async send(ask: Ask): Promise<Arrived | null> {
    let last: Arrived | null = null
    for (const key of await this.#store.getAllKeys('photo')) {
      const photo = await this.#store.get('photo', key)
      if (photo === undefined || photo.refused !== null) continue
      const target = `/api/photos/${photo.entryId}`
      const arrived = await ask.post(target, new Uint8Array(photo.bytes), photo.type)
      if (arrived.status === 200 && arrived.isJson) {
        await this.#store.delete('photo', key)
        last = arrived
      } else if (arrived.isJson && forGood.has(arrived.status) && !isAboutUs(arrived)) {
        await this.#store.put('photo', { ...photo, refused: arrived.status }, key)
      } else if (!(arrived.isJson && arrived.status === 404)) return arrived
    }
    return last
  }

  /** How many wait, and how many were refused. */
  async count(): Promise<{ waiting: number; refused: number }> {
    const photos = await this.#store.getAll('photo')
    const refused = photos.filter((photo) => photo.refused !== null).length
    return { waiting: photos.length - refused, refused }
  }
}

/** A phone that may not write now may do so later: nothing is given up for that. */
const isAboutUs = ({ text }: Arrived) => /"code":"(not_confirmed|not_allowed)"/.test(text)
