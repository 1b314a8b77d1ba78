// Invented blocks for the tests of the block map.
import {
  vineStateNames,
  type BlockMapBlock,
  type BlockMapRow,
  type BlockMapVine,
} from '../../../api/office/pictures/block-map-vines.ts'

/** A vine with a lot, a variety and a day. */
export function vineAt(position: number, state: BlockMapVine['state']): BlockMapVine {
  return { position, state, lotReference: '26-014', varietyName: 'Albariño', at: '2026-04-03' }
}

/** A row whose places go through all states in turn, beginning at another state in each row. */
export function rowOf(sequence: number, positionCount: number, headAt: string | null): BlockMapRow {
  const vines = Array.from({ length: positionCount }, (_, index) => {
    const state = vineStateNames[(index + sequence) % vineStateNames.length] ?? 'empty'
    return vineAt(index + 1, state)
  })
  const label = `${sequence}`
  return { rowId: `row-${sequence}`, label, sequence, positionCount, headAt, vines }
}

/** A block of rows of one length. */
export function blockOf(rowCount: number, positionCount: number): BlockMapBlock {
  const rows = Array.from({ length: rowCount }, (_, row) => rowOf(row + 1, positionCount, null))
  return { blockName: 'Lower terrace', rows }
}

/** Text that tries to leave its place in the markup. */
export const hostileText = `"><script>alert(1)</script></svg>'&amp;]]>\u0000\u001B\uD800\uFFFE<!--`
