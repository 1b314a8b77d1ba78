// The records with this phone’s own entries laid over them: what the screens are shown.
import type { HoldOn } from '#trade/hold-reach.ts'
import type { SnapshotBathsShape, SnapshotRowShape } from '#wire/api-snapshot.ts'
import type { SnapshotCodeShape, SnapshotLotShape } from '#wire/api-snapshot.ts'
import type { Known } from './known.ts'

export type LaidBath = SnapshotBathsShape['baths'][number]

/** A row with the block that it lies in. */
export interface LaidRow extends SnapshotRowShape {
  readonly blockId: string
}

/** What this phone did with blades since the records were fetched; epoch milliseconds. */
export interface LaidBlades {
  readonly cuts: { readonly blade: string; readonly lotId: string; readonly at: number }[]
  readonly cleanings: { readonly blade: string; readonly at: number }[]
  /** Blades of which a disinfection that the records hold was withdrawn. */
  readonly uncleaned: Set<string>
}

/** Maps that overlaying replaces pieces of; the pieces themselves are never changed. */
export interface Laid {
  readonly known: Known
  readonly lots: Map<string, SnapshotLotShape>
  readonly codes: Map<string, SnapshotCodeShape>
  readonly baths: Map<string, LaidBath>
  readonly rows: Map<string, LaidRow>
  readonly holds: HoldOn[]
  /** Own cuts by blades, and disinfections, that the records do not hold. */
  readonly blades: LaidBlades
  /** Entries known here by which wood came into somebody’s hands. */
  readonly handovers: Set<string>
  /** Which row a graft is in. */
  readonly rowOfGraft: Map<string, string>
}

/** The records as they came, ready to be laid over. */
export function laidOf(known: Known): Laid {
  const rows = new Map<string, LaidRow>()
  const rowOfGraft = new Map<string, string>()
  for (const { blockId, rows: ofBlock } of known.blocks.values()) {
    for (const row of ofBlock) {
      rows.set(row.rowId, { ...row, blockId })
      for (const [graftId] of row.grafts) rowOfGraft.set(graftId, row.rowId)
    }
  }
  return {
    known,
    lots: new Map(known.lots),
    codes: new Map(known.codes),
    baths: new Map(known.head.baths.baths.map((bath) => [bath.id, bath])),
    rows,
    holds: [...known.head.holds.holds],
    blades: { cuts: [], cleanings: [], uncleaned: new Set() },
    handovers: new Set([...known.lots.values()].flatMap((lot) => lot.handovers)),
    rowOfGraft,
  }
}

/** A lot that nothing is known of yet. */
export function emptyLot(lotId: string): SnapshotLotShape {
  return {
    lotId,
    makings: [],
    parents: [],
    bundles: [],
    moves: [],
    stock: [],
    handovers: [],
    cuts: [],
    viability: [],
    moisture: [],
    other: {},
  }
}
