// Turns rows as read into what the block map draws.
import type { RowReading } from '../../grafting/read.ts'
import type { VineNow } from '../../grafting/vine-state.ts'
import type { BlockMapBlock, BlockMapVine } from '../pictures/block-map-vines.ts'
import { shownDay } from '../times.ts'

/** The rows with each vine's state; days are those of the nursery's time zone. */
export function mapOfBlock(
  blockName: string,
  readings: readonly RowReading[],
  zone: string,
): BlockMapBlock {
  return {
    blockName,
    rows: readings.map(({ facts: { row }, vines, strays }) => ({
      rowId: row.row_id,
      label: row.label,
      sequence: row.sequence,
      positionCount: row.position_count,
      headAt: row.head_at,
      vines: [
        ...vines.map((vine) => mapVine(vine, zone)),
        ...strays
          .filter((record) => record.lives.some((life) => life.grafts.length > 0))
          .map(({ position }) => strayVine(position)),
      ],
    })),
  }
}

function mapVine(vine: VineNow, zone: string): BlockMapVine {
  return {
    position: vine.position,
    state: vine.state,
    lotReference: vine.graft?.reference ?? null,
    varietyName: vine.variety,
    at: vine.at === null ? null : shownDay(vine.at, zone),
  }
}

function strayVine(position: number): BlockMapVine {
  return { position, state: 'grafted', lotReference: null, varietyName: null, at: null }
}
