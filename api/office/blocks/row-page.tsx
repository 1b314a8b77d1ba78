// One row: how it is laid out, what is planned, how each of its vines stands, and its take.
import type { Context } from 'hono'
import { seasonsIn } from '../../grafting/season.ts'
import { readRowVines } from '../../grafting/read.ts'
import type { RowReading } from '../../grafting/read.ts'
import { takeOf } from '../../grafting/vine-attempts.ts'
import { vineStates } from '../../grafting/vine-state.ts'
import type { VineNow } from '../../grafting/vine-state.ts'
import { writePositionList } from '../../nursery/position-list.ts'
import type { LayerNow, PlanNow, RowNow } from '../../nursery/read-blocks.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { vineStates as stateWords } from '../pictures/block-map-vines.ts'
import { Saved } from '../saved.tsx'
import { shownDay } from '../times.ts'
import { graftedSeason } from './block-page.tsx'
import { SeasonChoice, seasonAsked } from './season-choice.tsx'
import { TakeTable } from './take-table.tsx'

/** Shows the row in the address. */
export async function showRow(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const rowId = pathId(c, 'rowId', 'row')
  const season = seasonAsked(c.req.query('season'))
  const reading = found(await readRowVines(db, rowId, season), 'row')
  const [zone, { policies }] = [await nurseryTimeZone(db), await readPolicies(db, clock.now())]
  const { row } = reading.facts
  const path = `/blocks/rows/${rowId}`
  const takeSeason = season ?? graftedSeason([reading], zone)
  return show(
    c,
    <Page
      c={c}
      title={rowTitle(row)}
      lead={<a href={`/blocks/${row.block_id}`}>{row.block_name ?? 'unknown block'}</a>}
      actions={<Actions path={path} />}
    >
      <Saved c={c} />
      <Layout row={row} counts={reading.counts} />
      <Plans plans={reading.facts.plans} zone={zone} />
      <SeasonChoice path={path} seasons={reading.seasons} season={season} />
      {takeSeason === null ? null : (
        <RowTake
          reading={reading}
          season={takeSeason}
          zone={zone}
          wanted={policies.takeInsufficientShare}
        />
      )}
      <Vines reading={reading} zone={zone} />
      <Strays reading={reading} />
    </Page>,
  )
}

/** A row by its block and label. */
export function rowTitle(row: Pick<RowNow, 'block_name' | 'label'>): string {
  return `${row.block_name ?? 'Unknown block'}, row ${row.label}`
}

function Actions({ path }: { path: string }) {
  return (
    <>
      <a class="button main" href={`${path}/graft`}>
        Enter a grafting sheet
      </a>
      <a class="button" href={`${path}/take`}>
        Count take
      </a>
      <a class="button" href={`${path}/plan`}>
        Plan grafting
      </a>
      <a class="button" href={path.replace('/blocks/rows/', '/dossier/row/')}>
        Dossier
      </a>
      <a class="button" href={`${path}/edit`}>
        Lay out again
      </a>
    </>
  )
}

function Layout({ row, counts }: { row: RowNow; counts: RowReading['counts'] }) {
  const states = vineStates
    .filter((state) => counts[state] > 0)
    .map((state) => `${counts[state]} ${stateWords[state]}`)
  return (
    <>
      <dl class="facts">
        <dt>Positions</dt>
        <dd>
          {row.position_count}
          {row.head_at === null ? '' : `, counted from the head at ${row.head_at}`}
        </dd>
        <dt>Vines</dt>
        <dd>{states.join('; ')}</dd>
        {row.missing.length === 0 ? null : (
          <>
            <dt>Laid out without a vine</dt>
            <dd>{writePositionList(row.missing)}</dd>
          </>
        )}
      </dl>
      {row.sections.length === 0 ? (
        <p class="note">No trunk is recorded: lay the row out again to say what stands there.</p>
      ) : (
        <Table caption="Trunks" head={['From', 'To', 'Planted', 'Trunk, from the roots up']}>
          {row.sections.map((section) => (
            <tr>
              <td class="number">{section.from_position}</td>
              <td class="number">{section.to_position}</td>
              <td>{section.planted_year ?? ''}</td>
              <td>{section.layers.map(layerWords).join(', then ') || 'not recorded'}</td>
            </tr>
          ))}
        </Table>
      )}
    </>
  )
}

/** A layer in words, like `rootstock Duro 12, clone 4`. */
export function layerWords(layer: Pick<LayerNow, 'role' | 'variety' | 'clone'>): string {
  const clone = layer.clone === null ? '' : `, clone ${layer.clone}`
  return `${layer.role} ${layer.variety ?? 'of an unknown variety'}${clone}`
}

function Plans({ plans, zone }: { plans: PlanNow[]; zone: string }) {
  if (plans.length === 0) return null
  const head = ['Season', 'Vines', 'Variety', 'Clone', 'Class', 'Method', 'Buds a vine', 'Planned']
  return (
    <Table caption="Plans; a later one covers an earlier" head={head}>
      {plans.map((plan) => (
        <tr>
          <td>{plan.season}</td>
          <td>
            {plan.from_position} to {plan.to_position}
          </td>
          <td>{plan.variety ?? 'unknown'}</td>
          <td>{plan.clone ?? 'any'}</td>
          <td>{plan.class ?? 'any'}</td>
          <td>{plan.method ?? 'any'}</td>
          <td class="number">{plan.buds_per_vine}</td>
          <td>
            <a href={`/journal/${plan.entry_id}`}>{shownDay(plan.planned_at, zone)}</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

function RowTake(props: {
  reading: RowReading
  season: number
  zone: string
  wanted: Parameters<typeof TakeTable>[0]['wanted']
}) {
  const { reading, season } = props
  const take = takeOf(reading.records, season, seasonsIn(props.zone))
  const rows = [{ name: reading.facts.row.label, href: null, take }]
  return <TakeTable season={season} rows={rows} all={take} wanted={props.wanted} />
}

function Vines({ reading, zone }: { reading: RowReading; zone: string }) {
  const { row } = reading.facts
  return (
    <Table caption="Vines" head={['Position', 'State', 'Variety', 'Lot', 'When', 'Why']}>
      {reading.vines.map((vine) => (
        <tr>
          <th scope="row" class="number">
            <a href={`/blocks/vines/${row.row_id}/${vine.position}`}>{vine.position}</a>
          </th>
          <td>{stateWords[vine.state]}</td>
          <td>{vine.variety ?? ''}</td>
          <td>
            <LotLink vine={vine} />
          </td>
          <td>{vine.at === null ? '' : shownDay(vine.at, zone)}</td>
          <td>{vine.reason ?? ''}</td>
        </tr>
      ))}
    </Table>
  )
}

function LotLink({ vine }: { vine: VineNow }) {
  if (vine.graft === null) return null
  const { lot_id, reference } = vine.graft
  return <a href={`/lots/${lot_id}`}>{reference ?? 'not registered'}</a>
}

function Strays({ reading }: { reading: RowReading }) {
  const { row } = reading.facts
  if (reading.strays.length === 0) return null
  return (
    <p class="care">
      Something is recorded at positions that the row does not have:{' '}
      {reading.strays.map(({ position }, nr) => (
        <>
          {nr === 0 ? '' : ', '}
          <a href={`/blocks/vines/${row.row_id}/${position}`}>{position}</a>
        </>
      ))}
      . Lay the row out again, or withdraw those entries.
    </p>
  )
}
