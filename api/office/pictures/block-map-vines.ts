// What a block map shows: rows of vines with their states, and the words and sums for them.
import { counted, dayWords } from './svg-text.ts'

/** The states in the order of the legend and of the table's columns, with their words. */
export const vineStates = {
  standing: 'standing, nothing planned',
  planned: 'planned',
  grafted: 'grafted, not yet checked',
  growing: 'growing',
  callused: 'callused, still',
  failed: 'failed',
  skipped: 'skipped',
  removed: 'removed',
  missing: 'missing',
  empty: 'empty place',
} as const

/** A vine's state on the map. */
export type VineState = keyof typeof vineStates

export const vineStateNames = Object.keys(vineStates) as VineState[]

export interface BlockMapVine {
  /** Counted from 1 at the row's head. */
  position: number
  state: VineState
  lotReference: string | null
  varietyName: string | null
  /**
   * ISO 8601 date or time: the day of the graft where there is one, otherwise of the plan, the
   * skip, the removal or the loss.
   */
  at: string | null
}

export interface BlockMapRow {
  rowId: string
  label: string
  /** The row's place in the block, from 1. */
  sequence: number
  positionCount: number
  /** Which end position 1 is at, in words; null where nobody said. */
  headAt: string | null
  /** Each position at most once; a position that is not listed is an empty place. */
  vines: readonly BlockMapVine[]
}

export interface BlockMapBlock {
  blockName: string
  rows: readonly BlockMapRow[]
}

/** The rows in block order. */
export function rowsInOrder(block: BlockMapBlock): BlockMapRow[] {
  return [...block.rows].sort((left, right) => left.sequence - right.sequence)
}

/** The vines by position; those recorded beyond the row's ends are left to `strayVines`. */
export function vinesByPosition(row: BlockMapRow): Map<number, BlockMapVine> {
  return new Map(row.vines.filter((vine) => isInside(row, vine)).map((v) => [v.position, v]))
}

/** Vines recorded at a position that the row does not have. */
export function strayVines(row: BlockMapRow): BlockMapVine[] {
  return row.vines.filter((vine) => !isInside(row, vine))
}

/** How many places of a row are in each state; places without a record count as empty. */
export function stateCounts(row: BlockMapRow): Record<VineState, number> {
  const counts = noCounts()
  const vines = vinesByPosition(row)
  for (const vine of vines.values()) counts[vine.state] += 1
  counts.empty += row.positionCount - vines.size
  return counts
}

/** The sums of all rows' states. */
export function blockCounts(rows: readonly BlockMapRow[]): Record<VineState, number> {
  const sums = noCounts()
  for (const row of rows) {
    const counts = stateCounts(row)
    for (const state of vineStateNames) sums[state] += counts[state]
  }
  return sums
}

/** A row in one sentence: “Row 12: 60 places: 40 growing, 20 failed.” */
export function rowWords(row: BlockMapRow): string {
  const head = row.headAt === null ? '' : ` Head: ${row.headAt}.`
  const places = `${counted(row.positionCount)} ${row.positionCount === 1 ? 'place' : 'places'}`
  return `Row ${row.label}: ${places}: ${countWords(stateCounts(row))}.${head}`
}

/** The states that occur, with their numbers: “40 growing, 20 failed”. */
export function countWords(counts: Record<VineState, number>): string {
  const parts = vineStateNames
    .filter((state) => counts[state] > 0)
    .map((state) => `${counted(counts[state])} ${vineStates[state]}`)
  return parts.length === 0 ? 'nothing' : parts.join('; ')
}

/**
 * A vine in one sentence: “Row 12, vine 34: growing, lot 26-014, grafted 3 April 2026”.
 * `fromFarEnd` adds its number counted from the other end.
 */
export function vineWords(row: BlockMapRow, vine: BlockMapVine, fromFarEnd: boolean): string {
  const far = fromFarEnd ? ` (${row.positionCount + 1 - vine.position} from the far end)` : ''
  const parts = [stateWords(vine)]
  if (vine.varietyName !== null) parts.push(vine.varietyName)
  if (vine.lotReference !== null) parts.push(`lot ${vine.lotReference}`)
  if (vine.at !== null) parts.push(...dayPart(vine.state, dayWords(vine.at)))
  return `Row ${row.label}, vine ${vine.position}${far}: ${parts.join(', ')}`
}

function stateWords(vine: BlockMapVine): string {
  if (vine.state !== 'grafted' || vine.at === null) return vineStates[vine.state]
  return `grafted ${dayWords(vine.at)}, not yet checked`
}

function dayPart(state: VineState, day: string): string[] {
  switch (state) {
    case 'standing':
    case 'grafted':
      return []
    case 'growing':
    case 'callused':
    case 'failed':
      return [`grafted ${day}`]
    case 'planned':
      return [`plan of ${day}`]
    case 'skipped':
    case 'removed':
      return [`on ${day}`]
    case 'missing':
    case 'empty':
      return [`since ${day}`]
  }
}

function isInside(row: BlockMapRow, vine: BlockMapVine): boolean {
  return vine.position >= 1 && vine.position <= row.positionCount
}

function noCounts(): Record<VineState, number> {
  return {
    standing: 0,
    planned: 0,
    grafted: 0,
    growing: 0,
    callused: 0,
    failed: 0,
    skipped: 0,
    removed: 0,
    missing: 0,
    empty: 0,
  }
}
