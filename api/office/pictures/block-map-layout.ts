// Works out where each row, vine and number of a block map stands.
import {
  rowsInOrder,
  strayVines,
  vinesByPosition,
  type BlockMapBlock,
  type BlockMapRow,
  type BlockMapVine,
} from './block-map-vines.ts'
import type { Point } from './block-map-signs.ts'

/** Width of one place and height of one row, in SVG units. */
export const PLACE_WIDTH = 12
export const ROW_HEIGHT = 16
/** Rows in one tinted band. */
export const BAND_ROWS = 5
/** Most places that one picture draws. */
export const BLOCK_MAP_PLACE_LIMIT = 40_000

/** The end from which positions are numbered along the picture's edge. */
export type CountFrom = 'head' | 'far'

/** A part of the block that is drawn on its own; all numbers count from 1, ends included. */
export interface BlockMapSheet {
  fromRow: number
  toRow: number
  /** Columns count places from the picture's left edge. */
  fromColumn: number
  toColumn: number
}

export type Side = 'left' | 'right'

export interface PlacedRow {
  row: BlockMapRow
  headSide: Side
  /** The side at which numbering begins. */
  originSide: Side
  /** The row's middle line. */
  y: number
  /** From where to where the row is drawn, on this sheet. */
  left: number
  right: number
  /** Whether the row's head, its far end, are on this sheet. */
  showsHead: boolean
  showsFarEnd: boolean
  vines: { vine: BlockMapVine; at: Point }[]
}

export interface BlockMapLayout {
  rows: PlacedRow[]
  strays: { row: BlockMapRow; vine: BlockMapVine }[]
  /** Left and right edge of the columns, upper and lower edge of the rows. */
  left: number
  right: number
  top: number
  bottom: number
  sheet: BlockMapSheet
  /** Columns of the whole block. */
  columnCount: number
}

/**
 * Lays the rows out under each other in block order, each aligned at the side where its
 * numbering begins. Rows with the same words in `headAt` have their head on the same side: the
 * first end named is on the left, the second on the right.
 *
 * @param corner upper left corner of the places
 */
export function layOutBlock(
  block: BlockMapBlock,
  countFrom: CountFrom,
  corner: Point,
  part?: BlockMapSheet,
): BlockMapLayout {
  const all = rowsInOrder(block)
  const columnCount = longestRow(all)
  const sheet = part ?? { fromRow: 1, toRow: all.length, fromColumn: 1, toColumn: columnCount }
  const drawn = all.slice(sheet.fromRow - 1, sheet.toRow)
  const sideOf = headSides(all)
  const columns = Math.min(sheet.toColumn, columnCount) - sheet.fromColumn + 1
  const rows = drawn.map((row, index) => {
    const headSide = sideOf(row)
    const originSide = countFrom === 'head' ? headSide : opposite(headSide)
    const y = corner.y + index * ROW_HEIGHT + ROW_HEIGHT / 2
    return placeRow({ row, headSide, originSide, columnCount, sheet }, corner.x, y)
  })
  return {
    rows,
    strays: drawn.flatMap((row) => strayVines(row).map((vine) => ({ row, vine }))),
    left: corner.x,
    right: corner.x + columns * PLACE_WIDTH,
    top: corner.y,
    bottom: corner.y + drawn.length * ROW_HEIGHT,
    sheet,
    columnCount,
  }
}

/**
 * Cuts a block into sheets of so many rows and columns, row by row, for printing; unless told,
 * as many as fit a landscape A4 page.
 */
export function blockMapSheets(
  block: BlockMapBlock,
  rowsPerSheet = 30,
  columnsPerSheet = 70,
): BlockMapSheet[] {
  const columnCount = longestRow(block.rows)
  const sheets: BlockMapSheet[] = []
  for (let row = 1; row <= block.rows.length; row += rowsPerSheet) {
    const toRow = Math.min(block.rows.length, row + rowsPerSheet - 1)
    for (let column = 1; column <= columnCount; column += columnsPerSheet) {
      const toColumn = Math.min(columnCount, column + columnsPerSheet - 1)
      sheets.push({ fromRow: row, toRow, fromColumn: column, toColumn })
    }
  }
  return sheets
}

/** How many places the picture of a block, or of one sheet of it, would draw. */
export function placeCount(block: BlockMapBlock, sheet?: BlockMapSheet): number {
  const rows = rowsInOrder(block)
  if (sheet === undefined) return rows.reduce((sum, row) => sum + row.positionCount, 0)
  const rowCount = Math.min(rows.length, sheet.toRow) - sheet.fromRow + 1
  return Math.max(0, rowCount) * (sheet.toColumn - sheet.fromColumn + 1)
}

interface RowOnSheet {
  row: BlockMapRow
  headSide: Side
  originSide: Side
  columnCount: number
  sheet: BlockMapSheet
}

function placeRow(on: RowOnSheet, left: number, y: number): PlacedRow {
  const { row, headSide, originSide, columnCount, sheet } = on
  const first = originSide === 'left' ? 1 : columnCount - row.positionCount + 1
  const last = first + row.positionCount - 1
  const columnOf = (position: number): number =>
    headSide === 'left' ? first + position - 1 : last - position + 1
  const shows = (column: number): boolean => column >= sheet.fromColumn && column <= sheet.toColumn
  const edge = (column: number): number => left + (column - sheet.fromColumn) * PLACE_WIDTH
  const from = Math.max(first, sheet.fromColumn)
  const to = Math.max(from - 1, Math.min(last, sheet.toColumn))
  return {
    row,
    headSide,
    originSide,
    y,
    left: edge(from),
    right: edge(to + 1),
    showsHead: shows(columnOf(1)),
    showsFarEnd: shows(columnOf(row.positionCount)),
    vines: everyPlace(row)
      .filter((vine) => shows(columnOf(vine.position)))
      .map((vine) => ({ vine, at: { x: edge(columnOf(vine.position)) + PLACE_WIDTH / 2, y } })),
  }
}

function everyPlace(row: BlockMapRow): BlockMapVine[] {
  const vines = vinesByPosition(row)
  return Array.from({ length: row.positionCount }, (_, index) => {
    const position = index + 1
    return vines.get(position) ?? emptyPlace(position)
  })
}

function emptyPlace(position: number): BlockMapVine {
  return { position, state: 'empty', lotReference: null, varietyName: null, at: null }
}

function headSides(rows: readonly BlockMapRow[]): (row: BlockMapRow) => Side {
  const ends = [...new Set(rows.flatMap((row) => (row.headAt === null ? [] : endKey(row.headAt))))]
  return (row) => (row.headAt !== null && endKey(row.headAt) === ends[1] ? 'right' : 'left')
}

function endKey(words: string): string {
  return words.trim().toLowerCase()
}

function opposite(side: Side): Side {
  return side === 'left' ? 'right' : 'left'
}

function longestRow(rows: readonly BlockMapRow[]): number {
  return rows.reduce((longest, row) => Math.max(longest, row.positionCount), 0)
}
