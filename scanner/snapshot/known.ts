// What the phone holds of the records: the last snapshot, with every change since laid into it.
import { SNAPSHOT_VERSION } from '#wire/api-snapshot.ts'
import type {
  SnapshotBathsShape,
  SnapshotBlockShape,
  SnapshotCodeShape,
  SnapshotHoldsShape,
  SnapshotLotShape,
  SnapshotRowShape,
  SnapshotSettingShape,
  SnapshotShape,
  SnapshotSourcesShape,
  SnapshotWeatherShape,
} from '#wire/api-snapshot.ts'

/** How far a part was counted in: entries below the journal index `next` are in it. */
export interface Stand {
  readonly next: number
  readonly lastHash: string
  readonly season: number
}

/** A block by name, as the list of all blocks tells it. */
export interface KnownBlockLine {
  readonly id: string
  readonly name: string
  readonly positions: number
  readonly thisSeason: boolean
}

/** Everything but lots, codes and rows. */
export interface KnownHead extends Stand {
  readonly version: number
  /** ISO 8601 by the server’s clock. */
  readonly takenAt: string
  readonly setting: SnapshotSettingShape
  readonly sources: SnapshotSourcesShape
  readonly baths: SnapshotBathsShape
  readonly holds: SnapshotHoldsShape
  readonly weather: SnapshotWeatherShape
  readonly blocks: readonly KnownBlockLine[]
}

/** The rows of one block, which are counted in on their own. */
export interface KnownBlock extends Stand {
  readonly blockId: string
  readonly rows: readonly SnapshotRowShape[]
}

/** All of it; plain data, kept in the phone’s database piece by piece. */
export interface Known {
  readonly head: KnownHead
  readonly lots: ReadonlyMap<string, SnapshotLotShape>
  readonly codes: ReadonlyMap<string, SnapshotCodeShape>
  readonly blocks: ReadonlyMap<string, KnownBlock>
}

/** One answer of the server, with the blocks that were fetched after it. */
export interface Fetched {
  readonly snapshot: SnapshotShape
  readonly blocks: readonly SnapshotBlockShape[]
}

/**
 * The records after an answer; `before` stays as it was. Null when the answer cannot be used: it
 * tells changes to something that this phone does not hold.
 */
export function withFetched(before: Known | null, fetched: Fetched): Known | null {
  const { snapshot } = fetched
  if (snapshot.version !== SNAPSHOT_VERSION) return null
  const base = snapshot.whole ? null : before
  const head = headOf(base, fetched)
  if (head === null || (base === null && !snapshot.whole)) return null
  const lots = new Map(base?.lots)
  for (const lotId of snapshot.goneLots) lots.delete(lotId)
  for (const lot of snapshot.lots) lots.set(lot.lotId, lot)
  const codes = new Map(base?.codes)
  for (const code of snapshot.codes) codes.set(code.code, code)
  return { head, lots, codes: ofKnownThings(codes, lots), blocks: blocksOf(before, fetched) }
}

function headOf(base: Known | null, { snapshot }: Fetched): KnownHead | null {
  const setting = snapshot.setting ?? base?.head.setting
  const sources = snapshot.sources ?? base?.head.sources
  const baths = snapshot.baths ?? base?.head.baths
  const holds = snapshot.holds ?? base?.head.holds
  const weather = snapshot.weather ?? base?.head.weather
  if (setting === undefined || sources === undefined) return null
  if (baths === undefined || holds === undefined || weather === undefined) return null
  const { version, takenAt, next, lastHash, season } = snapshot
  const blocks = snapshot.blocks.map(({ id, name, positions, thisSeason }) => {
    return { id, name, positions, thisSeason }
  })
  const stand = { version, takenAt, next, lastHash, season }
  return { ...stand, setting, sources, baths, holds, weather, blocks }
}

/** Codes of which nothing is known any more, or that are only on lots let go of, are let go of. */
function ofKnownThings(
  codes: Map<string, SnapshotCodeShape>,
  lots: ReadonlyMap<string, SnapshotLotShape>,
): Map<string, SnapshotCodeShape> {
  const wood = new Set(lots.keys())
  for (const { bundles } of lots.values()) for (const [bundleId] of bundles) wood.add(bundleId)
  for (const [key, { printed, bindings, ends }] of codes) {
    const isNothing = !printed && bindings.length + ends.length === 0
    const isOfOthers = bindings.every(([kind, id]) => isWood(kind) && !wood.has(id))
    if (isNothing || (bindings.length > 0 && isOfOthers)) codes.delete(key)
  }
  return codes
}

const isWood = (kind: string) => kind === 'lot' || kind === 'bundle'

/**
 * Blocks that were not fetched again have not changed up to where the snapshot stands, when it
 * said so of the time since they were fetched.
 */
function blocksOf(before: Known | null, fetched: Fetched): Map<string, KnownBlock> {
  const { snapshot } = fetched
  const blocks = new Map<string, KnownBlock>()
  const again = new Map(fetched.blocks.map((block) => [block.blockId, block]))
  for (const { id, changed } of snapshot.blocks) {
    const old = before?.blocks.get(id)
    const fresh = again.get(id)
    if (fresh !== undefined) {
      const block = withRows(old, fresh)
      if (block !== null) blocks.set(id, block)
    } else if (old !== undefined && before !== null && !snapshot.whole) {
      // One that could not be fetched stays as it was, and is asked for again next time.
      const isUpToDate = !changed && old.next >= before.head.next && old.next < snapshot.next
      const { next, lastHash, season } = snapshot
      blocks.set(id, isUpToDate ? { ...old, next, lastHash, season } : old)
    }
  }
  return blocks
}

function withRows(old: KnownBlock | undefined, fresh: SnapshotBlockShape): KnownBlock | null {
  const { blockId, next, lastHash, season, whole } = fresh
  if (!whole && old === undefined) return null
  const rows = new Map((whole ? [] : (old?.rows ?? [])).map((row) => [row.rowId, row]))
  for (const row of fresh.rows) rows.set(row.rowId, row)
  const kept = fresh.rowIds.flatMap((rowId) => rows.get(rowId) ?? [])
  return { blockId, next, lastHash, season, rows: kept }
}
