// The numbers of a block map as tables: states by row, and the vines of one row on demand.
import {
  blockCounts,
  rowsInOrder,
  stateCounts,
  strayVines,
  vineStateNames,
  vineStates,
  type BlockMapBlock,
  type BlockMapRow,
  type VineState,
} from './block-map-vines.ts'
import { counted, dayWords, siteLink } from './svg-text.ts'

export interface BlockMapTableOptions {
  block: BlockMapBlock
  /** A path on this site for a row; the page it leads to should open that row's vines. */
  rowHref?: (rowId: string) => string
  /** A path on this site for a vine; position counts from the head. */
  vineHref?: (rowId: string, position: number) => string
  /** The row whose vines are listed under the sums. */
  openRowId?: string | null
}

/**
 * The same numbers as the map: one line for each row with the number of places in each state
 * that occurs in the block, the sums, and the vines of `openRowId` one by one.
 */
export function blockMapTable(options: BlockMapTableOptions) {
  const rows = rowsInOrder(options.block)
  const open = rows.find((row) => row.rowId === options.openRowId)
  return (
    <>
      <RowSums rows={rows} options={options} />
      {open === undefined ? null : <RowVines row={open} options={options} />}
    </>
  )
}

function RowSums(props: { rows: BlockMapRow[]; options: BlockMapTableOptions }) {
  const { rows, options } = props
  const sums = blockCounts(rows)
  const states = vineStateNames.filter((state) => sums[state] > 0)
  const places = rows.reduce((sum, row) => sum + row.positionCount, 0)
  return (
    <div class="table">
      <table>
        <caption>{`Block ${options.block.blockName}: places by row and state`}</caption>
        <thead>
          <tr>
            <th scope="col">Row</th>
            <th scope="col">Head at</th>
            <th scope="col" class="number">
              Places
            </th>
            {states.map((state) => (
              <th scope="col" class="number">
                {capital(vineStates[state])}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <RowLine row={row} states={states} href={siteLink(options.rowHref?.(row.rowId))} />
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">All rows</th>
            <td></td>
            <td class="number">{counted(places)}</td>
            {states.map((state) => (
              <td class="number">{counted(sums[state])}</td>
            ))}
          </tr>
        </tfoot>
      </table>
    </div>
  )
}

function RowLine(props: { row: BlockMapRow; states: VineState[]; href: string | null }) {
  const { row, states, href } = props
  const counts = stateCounts(row)
  return (
    <tr>
      <th scope="row">{href === null ? row.label : <a href={href}>{row.label}</a>}</th>
      <td>{row.headAt ?? ''}</td>
      <td class="number">{counted(row.positionCount)}</td>
      {states.map((state) => (
        <td class="number">{counted(counts[state])}</td>
      ))}
    </tr>
  )
}

function RowVines(props: { row: BlockMapRow; options: BlockMapTableOptions }) {
  const { row, options } = props
  const vines = [...row.vines].sort((left, right) => left.position - right.position)
  const stray = new Set(strayVines(row))
  const unlisted = row.positionCount - (vines.length - stray.size)
  const rest = unlisted === 0 ? '' : `; ${counted(unlisted)} empty places are not listed`
  return (
    <div class="table" id={`row-${row.sequence}`}>
      <table>
        <caption>{`Row ${row.label}: ${counted(vines.length)} vines${rest}`}</caption>
        <thead>
          <tr>
            <th scope="col">Vine, from the head</th>
            <th scope="col">From the far end</th>
            <th scope="col">State</th>
            <th scope="col">Variety</th>
            <th scope="col">Lot</th>
            <th scope="col">Day</th>
          </tr>
        </thead>
        <tbody>
          {vines.map((vine) => {
            const href = siteLink(options.vineHref?.(row.rowId, vine.position))
            return (
              <tr>
                <th scope="row">
                  {href === null ? vine.position : <a href={href}>{vine.position}</a>}
                </th>
                <td>
                  {stray.has(vine) ? 'outside the row' : row.positionCount + 1 - vine.position}
                </td>
                <td>{vineStates[vine.state]}</td>
                <td>{vine.varietyName ?? ''}</td>
                <td>{vine.lotReference ?? ''}</td>
                <td>{vine.at === null ? '' : dayWords(vine.at)}</td>
              </tr>
            )
          })}
        </tbody>
      </table>
    </div>
  )
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}
