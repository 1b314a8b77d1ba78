// What judgement needs to know about a scanned lot; a server query or a phone's snapshot fills it.
import type { ThermalFacts } from './thermal-facts.ts'
import type { DryingAir, WoodChecks } from './wood-checks.ts'

export type Material =
  'scion wood' | 'rootstock wood' | 'grafted vine' | 'rooted vine' | 'potted vine'

export type Standing = 'good' | 'suspended' | 'withdrawn'

/** A source's standing from a moment on (epoch milliseconds). */
export interface StandingChange {
  readonly standing: Standing
  readonly fromAt: number
}

/** A source block or vine that wood of the lot came from, with every change of its standing. */
export interface SourceFacts {
  readonly sourceId: string
  readonly standings: readonly StandingChange[]
  /**
   * When wood was cut from this source (epoch milliseconds; null for not recorded). Without it the
   * lot's own cut time counts; wood cut on several days names the source once for each.
   */
  readonly cutAt?: number | null
}

export type HoldRelation = 'lot' | 'parent_lot' | 'source' | 'contact'

/**
 * A hold that stands now and reaches the lot. For a contact the list holds only those that the
 * held agent's routes reach; `route` names the one that does.
 */
export interface StandingHold {
  readonly holdId: string
  readonly relation: HoldRelation
  /** The lot, source, bath or place that is held. */
  readonly subjectId: string
  readonly agentId: string | null
  readonly route: string | null
}

/** One continuous time in a place; `endedAt` is null while it lasts (epoch milliseconds). */
export interface StayFacts {
  readonly placeId: string
  readonly cooled: boolean
  readonly beganAt: number
  readonly endedAt: number | null
}

/** One time in a bath; `endedAt` is null while the wood lies in the water (epoch milliseconds). */
export interface SoakFacts {
  readonly bathId: string
  readonly beganAt: number
  readonly endedAt: number | null
}

/** What is to be set in the row where the lot was scanned; null fields are not prescribed. */
export interface RowPlan {
  readonly rowId: string
  readonly varietyId: string | null
  readonly clone: string | null
  readonly scheme: string | null
  readonly minimumClass: string | null
}

export interface TagFacts {
  readonly code: string
  readonly state: 'bound' | 'spoiled' | 'ended'
}

/** Whole sticks and whole buds that no entry has used, discarded or dispatched. */
export interface StockLeft {
  readonly sticks: number
  readonly buds: number
}

interface ScanFacts {
  readonly tag: TagFacts | null
  /** When the records were fetched (epoch milliseconds); null when judged on live records. */
  readonly snapshotAt: number | null
}

export interface UnknownLotFacts extends ScanFacts {
  readonly known: false
  readonly code: string | null
}

export interface KnownLotFacts extends ScanFacts {
  readonly known: true
  readonly lotId: string
  readonly material: Material
  readonly varietyId: string
  readonly clone: string | null
  readonly scheme: string | null
  readonly className: string | null
  /** When the wood was cut, or the vines lifted (epoch milliseconds). */
  readonly cutAt: number | null
  readonly receivedAt: number | null
  readonly sources: readonly SourceFacts[]
  /** True when some or all of the wood has no recorded origin. */
  readonly originUnknown: boolean
  readonly holds: readonly StandingHold[]
  readonly left: StockLeft | null
  readonly stays: readonly StayFacts[]
  readonly soaks: readonly SoakFacts[]
  /** By the readings of its places; null: there are none. Absent in snapshots of older servers. */
  readonly thermal?: ThermalFacts | null
  /** The latest checks of the wood. Absent in snapshots of older servers. */
  readonly checks?: WoodChecks
  /** How strongly the air of the day dries; null or absent: nobody read the weather. */
  readonly dryingAir?: DryingAir | null
  readonly plan: RowPlan | null
}

export type LotFacts = KnownLotFacts | UnknownLotFacts
