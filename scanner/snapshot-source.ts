// The seam between the phone's queue and what it knows offline: who asks whom for what.
import type { EntryBody, EntryKind } from '#wire/entry.ts'
import type { KeptTonight, Snapshot } from './phone.ts'
import type { Arrived } from './sync/answer.ts'

/** An entry of this phone that the snapshot may not hold yet. */
export type OwnEntry = {
  [K in EntryKind]: {
    readonly id: string
    readonly kind: K
    readonly occurredAt: string
    readonly person: string
    readonly body: EntryBody<K>
    /** Its place in the journal; null while unsent, or when the server did not tell. */
    readonly journalIndex: number | null
    /** Of wood taken over: whose hands it is in; left out, the person's. */
    readonly holderId?: string
  }
}[EntryKind]

/** Asks the server under the phone's signature; never throws. `number` and key are seen to. */
export interface Ask {
  /** A GET; `text` of the answer is the whole body. */
  get(target: string): Promise<Arrived>
  /** A POST of bytes of any type, as for a photo. */
  post(target: string, body: Uint8Array<ArrayBuffer>, contentType: string): Promise<Arrived>
}

/** What the phone knows offline, kept in a database of its own. */
export interface SnapshotSource {
  /** The last snapshot with this phone's own entries laid over it. */
  readonly snapshot: Snapshot
  /** The first journal index that the snapshot does not cover; 0 before there is one. */
  readonly nextIndex: number
  /** When it was taken, by the server's clock, in ms since 1970; 0 before there is one. */
  readonly takenMs: number
  /** Replaces the entries that are laid over: all that `nextIndex` does not cover, oldest first. */
  layOver(entries: readonly OwnEntry[]): void
  /** Lays further entries over those, for the common case of one that was just written. */
  layOverMore(entries: readonly OwnEntry[]): void
  /** Fetches a newer one; resolves to the answer that decided, and keeps the old one on failure. */
  refresh(ask: Ask): Promise<Arrived>
  /** Tonight's list as it was fetched last; null when there is none. */
  readonly tonight: KeptTonight | null
  /** Fetches the list of some rows and keeps it; the one before stays on failure. */
  fetchTonight(ask: Ask, rowIds: readonly string[], fetchedAt: string): Promise<Arrived>
  /** Takes up what another tab fetched meanwhile, if it did. */
  readAgain(): Promise<void>
  /** Keeps a photo beside its entry until it is sent. */
  keepPhoto(entryId: string, photo: Blob): Promise<void>
  /** Sends photos whose entries have arrived; stops at the first answer that is no success. */
  sendPhotos(ask: Ask): Promise<Arrived | null>
}
