// What a lot came of and became: parents, parts, shares of origin, and the vines it was set on.
import { fractionText, fractionToNumber } from '#trade/fractions.ts'
import type { LotDetail, LotIdentity, RelatedLot } from '../../lots/lot-detail.ts'
import type { RowGrafts } from '../../lots/lot-grafts.ts'
import type { OriginShare } from '../../trace/back.ts'
import { Table } from '../layout.tsx'
import { shownDay } from '../times.ts'

/** Parents, children and shares, with the ways to the traces. */
export function LotLineage(props: {
  detail: LotDetail
  lot: LotIdentity
  origins: OriginShare[]
  names: ReadonlyMap<string, string>
}) {
  const { detail, lot, origins, names } = props
  return (
    <section aria-labelledby="lineage">
      <h2 id="lineage">Lineage</h2>
      <p>
        <a href={`/trace/back/lot/${lot.lot_id}`}>Back to its sources</a>
        {' · '}
        <a href={`/trace/forward/lot/${lot.lot_id}`}>Forward to its vines</a>
      </p>
      <dl class="facts">
        <dt>Came of</dt>
        <dd>
          {detail.parents.length === 0 ? originWords(lot) : <LotLinks lots={detail.parents} />}
        </dd>
        <dt>Became</dt>
        <dd>
          {detail.children.length === 0 ? 'no other lot' : <LotLinks lots={detail.children} />}
        </dd>
      </dl>
      {origins.length < 2 ? null : <Shares origins={origins} names={names} />}
    </section>
  )
}

function originWords(lot: LotIdentity): string {
  if (lot.source !== null) return `source ${lot.source}`
  return lot.source_id === null ? 'unknown origin' : 'a source not registered here'
}

function LotLinks({ lots }: { lots: RelatedLot[] }) {
  return (
    <>
      {lots.map(({ lot_id, reference }, nr) => (
        <>
          {nr === 0 ? '' : ', '}
          <a href={`/lots/${lot_id}`}>{reference ?? 'a lot not registered here'}</a>
        </>
      ))}
    </>
  )
}

function Shares(props: { origins: OriginShare[]; names: ReadonlyMap<string, string> }) {
  const named = (id: string) => props.names.get(id) ?? 'not registered here'
  return (
    <Table caption="Shares of origin" head={['First lot', 'Source', 'Share', '%']} numbers={[2, 3]}>
      {props.origins.map(({ firstLotId, sourceId, share }) => (
        <tr>
          <td>
            <a href={`/lots/${firstLotId}`}>{named(firstLotId)}</a>
          </td>
          <td>{sourceId === null ? 'unknown' : named(sourceId)}</td>
          <td class="number">{fractionText(share)}</td>
          <td class="number">{(fractionToNumber(share) * 100).toFixed(1)}</td>
        </tr>
      ))}
    </Table>
  )
}

/** Where its buds were set and how they took. */
export function LotGrafts({ grafts, zone }: { grafts: RowGrafts[]; zone: string }) {
  if (grafts.length === 0) return null
  const head = ['Row', 'Vines', 'Buds set', 'First', 'Last', 'Growing', 'Still', 'Failed', 'Unseen']
  return (
    <section aria-labelledby="grafts">
      <h2 id="grafts">Set on vines</h2>
      <Table
        caption="By row; vines counted by the last look"
        head={head}
        numbers={[1, 2, 5, 6, 7, 8]}
      >
        {grafts.map((row) => (
          <tr>
            <td>
              <a href={`/blocks/rows/${row.row_id}`}>
                {[row.block, `row ${row.row_label ?? 'not registered here'}`]
                  .filter(Boolean)
                  .join(', ')}
              </a>
            </td>
            <td class="number">{row.vines}</td>
            <td class="number">{row.buds_set}</td>
            <td>{shownDay(row.first_at, zone)}</td>
            <td>{shownDay(row.last_at, zone)}</td>
            <td class="number">{row.take.vines.growing}</td>
            <td class="number">{row.take.vines.callused}</td>
            <td class="number">{row.take.vines.failed}</td>
            <td class="number">{row.take.vines.notChecked}</td>
          </tr>
        ))}
      </Table>
    </section>
  )
}
