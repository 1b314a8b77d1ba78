// What the screens may ask of the phone's inside: write down, look up, judge, send; nothing else.
import type { Judgement } from '#trade/judge.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import type { Policies } from '#trade/policies.ts'
import type { ApiTonight } from '#wire/api-tonight.ts'
import type { AccountShape, ThingShape } from '#wire/basics.ts'
import type { EntryBody, EntryKind } from '#wire/entry.ts'
import type { z } from 'zod'

/** An entry that stands in the phone's store: written with strict durability, then confirmed. */
export interface Written {
  readonly id: string
  readonly kind: EntryKind
  /** ISO 8601 with offset: what this phone's clock said. */
  readonly occurredAt: string
  readonly deviceCounter: number
}

/**
 * Why an entry could not be written down; nothing of it is kept, and the person must be told.
 * `bad entry`: something typed has no place in an entry (an invisible character, a text too long).
 */
export type WriteTrouble =
  'storage full' | 'storage broken' | 'not enrolled' | 'no person' | 'bad entry'

/** Thrown by {@link Phone.write}: the screen says it in words and keeps what was typed. */
export class WriteError extends Error {
  readonly trouble: WriteTrouble
  /** With `bad entry`: where in the body, as in `note` or `bundles.0.count`. */
  readonly path: string | null
  constructor(trouble: WriteTrouble, cause?: unknown, path: string | null = null) {
    super(trouble, { cause })
    this.name = 'WriteError'
    this.trouble = trouble
    this.path = path
  }
}

/** One entry to be written. */
export type Draft = {
  [K in EntryKind]: {
    readonly kind: K
    readonly body: EntryBody<K>
    /** Of wood taken over: whose hands it is in, by the symbol scanned. Stays on this phone. */
    readonly holderId?: string
  }
}[EntryKind]

/** Where the sending stands. */
export type SendState =
  | 'idle'
  | 'sending'
  | 'no network'
  | 'server trouble'
  | 'not let in'
  | 'waiting for the office'
  | 'revoked'
  | 'not enrolled'

/** An entry that the server could not take in; it stays here, whole, until somebody looks. */
export interface SetAsideEntry {
  readonly id: string
  readonly kind: string
  readonly occurredAt: string
  readonly code: string
  readonly detail: string
}

/** What is not at the server yet. */
export interface Unsent {
  readonly count: number
  /** ISO 8601 of the oldest unsent entry; null when all are sent. */
  readonly oldestAt: string | null
  readonly state: SendState
  readonly lastSentAt: string | null
  readonly setAside: readonly SetAsideEntry[]
  /** Server clock minus phone clock, in milliseconds; null before the first answer. */
  readonly clockOffsetMs: number | null
}

export type Language = 'en' | 'es'
export type TempUnit = 'C' | 'F'
export type LengthUnit = 'mm' | 'in'
export type Hand = 'left' | 'right'

/** What the person chose on this phone. */
export interface Settings {
  readonly language: Language
  readonly tempUnit: TempUnit
  readonly lengthUnit: LengthUnit
  readonly hand: Hand
  /** Who works with this phone now; every entry carries it as it was when written. */
  readonly personId: string | null
  readonly knifeId: string | null
}

/** Who this phone is. */
export interface Identity {
  readonly deviceId: string
  readonly deviceName: string
  /** In groups of four, as the office compares it. */
  readonly fingerprint: string
  readonly state: 'waiting' | 'active' | 'revoked'
}

/** Did the browser promise to keep our store? */
export interface StorageState {
  readonly persisted: boolean
  readonly usedBytes: number | null
  readonly quotaBytes: number | null
}

/** What a scanned or typed text turns out to be. */
export type Found =
  | { readonly what: 'thing'; readonly code: string; readonly thing: ThingShape }
  | { readonly what: 'unbound'; readonly code: string }
  | { readonly what: 'ended'; readonly code: string; readonly spoiled: boolean }
  | { readonly what: 'unknown code'; readonly code: string }
  | { readonly what: 'other nursery'; readonly code: string; readonly host: string }
  | {
      readonly what: 'slip'
      readonly typed: string
      readonly problem: 'length' | 'letter' | 'check'
    }
  | { readonly what: 'handover'; readonly handoverId: string; readonly text: string }
  | { readonly what: 'foreign'; readonly text: string }

/** A lot as the phone knows it, its own unsent entries counted in. */
export interface PhoneLot {
  readonly lotId: string
  readonly reference: string
  readonly varietyName: string
  readonly clone: string | null
  readonly className: string | null
  readonly material: string
  readonly budsPerStick: number
  readonly facts: KnownLotFacts
  readonly bundles: readonly PhoneBundle[]
  /** Every account that holds wood of the lot, with what it holds. */
  readonly stock: readonly PhoneStock[]
}
export interface PhoneBundle {
  readonly bundleId: string
  readonly code: string | null
  readonly unit: 'stick' | 'bud'
  readonly count: number
}
export interface PhoneStock {
  readonly account: AccountShape
  readonly bundleId: string | null
  readonly sticks: number
  readonly buds: number
}

/** Wood that somebody has before them: by the tag read, and by whose hand or place it is in. */
export interface WoodAtHand {
  readonly lotId: string
  /** Null: loose wood, or whichever when the lot’s own tag was read and `account` is not told. */
  readonly bundleId: string | null
  /** Left out or null: wherever it is; one in several places is judged by the worst of them. */
  readonly account?: AccountShape | null
}

export interface PhoneRow {
  readonly rowId: string
  readonly blockId: string
  readonly blockName: string
  readonly label: string
  readonly sequence: number
  readonly positionCount: number
  readonly headAt: string | null
}

/** A vine as the phone knows it: is it there, and what was tried on it this season or the last. */
export interface PhoneVine {
  readonly position: number
  readonly missing: boolean
  readonly grafts: readonly PhoneGraft[]
  /** True when it was passed over this season. */
  readonly skipped: boolean
}
export interface PhoneGraft {
  readonly graftId: string
  readonly lotId: string
  readonly budCount: number
  readonly graftedAt: string
  readonly removed: boolean
  readonly tieReleased: boolean
  readonly takeCheckedAt: string | null
}

/** A stretch of a row and what is to be grafted there. */
export interface PhonePlan {
  readonly rowId: string
  readonly fromPosition: number
  readonly toPosition: number
  readonly season: number
  readonly varietyId: string
  readonly varietyName: string
  readonly clone: string | null
  readonly className: string | null
  readonly method: string | null
  readonly budsPerVine: number
}

export interface Named {
  readonly id: string
  readonly name: string
}
/** Somebody outside, or a crew; only crews are handed wood. */
export interface PhoneParty extends Named {
  /** `crew`, `supplier`, `customer`, `laboratory` or `authority`. */
  readonly role: string
}
export interface PhonePlace extends Named {
  readonly placeKind: string
  readonly insidePlaceId: string | null
  readonly cooled: boolean
}
export interface PhoneBath extends Named {
  readonly placeId: string
  /** ISO 8601. */
  readonly filledAt: string
  readonly emptied: boolean
}
export interface PhoneSource extends Named {
  readonly level: 'block' | 'vine'
  readonly varietyId: string
  readonly varietyName: string
  readonly clone: string | null
  readonly scheme: string | null
  readonly className: string | null
  readonly standing: string
}

/** The last snapshot that the server gave, with this phone's own newer entries laid over it. */
export interface Snapshot {
  /** ISO 8601 by the server's clock; null when there is none yet. */
  readonly takenAt: string | null
  readonly policies: Policies
  readonly people: readonly Named[]
  readonly parties: readonly PhoneParty[]
  readonly methods: readonly string[]
  find(text: string): Found
  /** The name of any person, party, place, bath, source, lot, row or variety, or null. */
  nameOf(id: string): string | null
  codeOf(thing: ThingShape): string | null
  lot(lotId: string): PhoneLot | null
  lotOfBundle(bundleId: string): PhoneLot | null
  /** Lots with wood left, by reference. */
  lots(): readonly PhoneLot[]
  row(rowId: string): PhoneRow | null
  rows(blockId: string): readonly PhoneRow[]
  blocks(): readonly Named[]
  vines(rowId: string): readonly PhoneVine[]
  plans(rowId: string): readonly PhonePlan[]
  place(placeId: string): PhonePlace | null
  places(): readonly PhonePlace[]
  bath(bathId: string): PhoneBath | null
  /** Baths not emptied yet. */
  baths(): readonly PhoneBath[]
  source(sourceId: string): PhoneSource | null
  sources(): readonly PhoneSource[]
  /** Judges a lot for a row (or for no row) at `nowMs`, snapshot age included. */
  judge(lotId: string, rowId: string | null, nowMs: number): Judgement | null
  /** The same of the very wood that somebody is about to use, by where it lay itself. */
  judgeWood(wood: WoodAtHand, rowId: string | null, nowMs: number): Judgement | null
}

/** Tonight's list as the server tells it. */
export type Tonight = z.infer<typeof ApiTonight>

/** Tonight's list as it was fetched last, for the rows that it was asked for. */
export interface KeptTonight {
  readonly rowIds: readonly string[]
  /** ISO 8601, when it was worked out. */
  readonly fetchedAt: string
  readonly list: Tonight
  /** Sticks of each piece on the list that lay in water by this phone's records then. */
  readonly inWater: Readonly<Record<string, number>>
}

export type TonightAnswer = 'fetched' | 'no network' | 'not let in' | 'server trouble'

/** The phone's inside, as every screen sees it. */
export interface Phone {
  readonly identity: Identity | null
  readonly settings: Settings
  readonly unsent: Unsent
  readonly snapshot: Snapshot
  readonly storage: StorageState
  /** Calls back after anything above changed; returns how to stop. */
  onChange(listener: () => void): () => void
  now(): Date
  newId(): string
  change(settings: Partial<Settings>): Promise<void>
  /** @throws WriteError; resolves only when the entry is safely on this phone. */
  write(draft: Draft): Promise<Written>
  /** All or none, in this order. @throws WriteError */
  writeAll(drafts: readonly Draft[]): Promise<readonly Written[]>
  /** This phone's last entries, newest first, withdrawn ones left out. */
  recent(limit: number): Promise<readonly RecentEntry[]>
  /** Keeps a photo beside the entry that it shows; sent apart from entries. */
  keepPhoto(entryId: string, photo: Blob): Promise<void>
  /** Tonight's list as it was fetched last; null when there is none. */
  readonly tonight: KeptTonight | null
  /** Has the server work out the list of some rows, and keeps it. */
  fetchTonight(rowIds: readonly string[]): Promise<TonightAnswer>
  enrol(code: string): Promise<EnrolAnswer>
  /** Tries to send and to fetch now. */
  sync(): Promise<void>
  /** Unsent and set-aside entries as a file, for the office to take in by hand. */
  exportUnsent(): Promise<Blob>
}

/** An entry of this phone, to be shown, or withdrawn by an `entry.withdrawn` of its own. */
export interface RecentEntry {
  readonly written: Written
  readonly body: Draft['body']
  readonly sent: boolean
}

export type EnrolAnswer =
  | { readonly result: 'enrolled'; readonly identity: Identity }
  | { readonly result: 'wrong code' | 'no network' | 'server trouble' | 'too many tries' }
