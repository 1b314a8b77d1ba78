// The first step of a grafting sheet: which lot was set, with the verdict for this row's plan.
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { judgeForPlans, plansFor } from '../../grafting/lot-verdict.ts'
import { lotsById, lotsByReference } from '../../grafting/lot-choice.ts'
import type { LotNamed } from '../../grafting/lot-choice.ts'
import { lotsForRow } from '../../grafting/lots-for-row.ts'
import type { RowReading } from '../../grafting/read.ts'
import { readLotFacts } from '../../lots/lot-facts.ts'
import { reasonsInWords } from '../../lots/judge-lots.ts'
import { piecesText } from '../../lots/pieces.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readPositions } from '../../store/positions.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { rowTitle } from './row-page.tsx'
import { thisYear } from './rows-form.tsx'

/** A lot that could be set, with where it is and what judgement says. */
type OfferedLot = { lot: LotNamed; where: string[]; judgement: Judgement; reasons: string[] }

/** Shows the lots to choose from, or goes on with the one whose reference was typed. */
export async function showLotChoice(c: Context<Env>, reading: RowReading) {
  const { db } = c.get('services')
  const { row } = reading.facts
  const path = `/blocks/rows/${row.row_id}/graft`
  const position = c.req.query('position')
  const typed = (c.req.query('reference') ?? '').trim().slice(0, 100)
  const found = typed === '' ? [] : await lotsByReference(db, typed)
  const [only] = found
  if (only !== undefined && found.length === 1) {
    return c.redirect(lotHref(path, only.lot_id, position), 302)
  }
  const season = await thisYear(c)
  const offered = await offeredLots(c, reading, season)
  const planned = reading.facts.plans.some((plan) => plan.season === season)
  return show(
    c,
    <Page
      c={c}
      title={`Grafting sheet of ${rowTitle(row)}`}
      lead="First the lot that was set on the vines. A vine with buds of two lots takes two sheets."
    >
      {typed === '' ? null : (
        <p class="care" role="alert">
          {found.length === 0
            ? `There is no lot ${typed}: check the reference.`
            : `${found.length} lots have the reference ${typed}: choose below.`}
        </p>
      )}
      <form class="actions" action={path}>
        {position === undefined ? null : <input type="hidden" name="position" value={position} />}
        <label for="lot-reference">Lot reference</label>
        <input id="lot-reference" name="reference" type="text" value={typed} size={16} required />
        <button class="main">Go on</button>
      </form>
      {offered.length === 0 ? (
        <p class="note">
          {planned ? 'No lot at hand is of a planned variety.' : 'No scion wood is at hand.'} Cut,
          receive or hand over wood first.
        </p>
      ) : (
        <LotTable
          offered={offered}
          hrefOf={(id) => lotHref(path, id, position)}
          planned={planned}
        />
      )}
    </Page>,
  )
}

function lotHref(path: string, lotId: string, position: string | undefined): string {
  const at = position === undefined ? '' : `&position=${encodeURIComponent(position)}`
  return `${path}?lot=${lotId}${at}`
}

async function offeredLots(
  c: Context<Env>,
  reading: RowReading,
  season: number,
): Promise<OfferedLot[]> {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const { plans, row } = reading.facts
  const all = Array.from({ length: row.position_count }, (_, nr) => nr + 1)
  const wanted = plansFor(plans, season, all)
  const varieties = wanted.flatMap((plan) => plan?.variety_id ?? [])
  const ids = await lotsForRow(db, [...new Set(varieties)])
  const [lots, facts, { policies }, zone] = await Promise.all([
    lotsById(db, ids),
    readLotFacts(db, ids, now),
    readPolicies(db, now),
    nurseryTimeZone(db),
  ])
  const { positions } = await readPositions(db, zone, { lotIds: ids })
  const offered: OfferedLot[] = []
  for (const id of ids) {
    const lot = lots.find((one) => one.lot_id === id)
    const known = facts.get(id)
    if (lot === undefined || known === undefined) continue
    // Rows with several plans take several lots: the verdict is for the plan that the lot fits.
    const fitting = wanted.filter((plan) => plan === null || plan.variety_id === lot.variety_id)
    const judgement = judgeForPlans(known, fitting, policies, now)
    const words = await reasonsInWords(db, judgement)
    offered.push({
      lot,
      judgement,
      where: positions
        .filter((one) => one.lotId === id)
        .map((one) => `${one.accountName}: ${piecesText(one.material, one)}`),
      reasons: words.filter(({ verdict }) => verdict !== 'ready').map(({ sentence }) => sentence),
    })
  }
  return offered
}

function LotTable(props: {
  offered: OfferedLot[]
  hrefOf: (lotId: string) => string
  planned: boolean
}) {
  const caption = props.planned
    ? 'Lots at hand of the varieties planned here this season'
    : 'Lots at hand; nothing is planned here this season'
  return (
    <Table caption={caption} head={['Lot', 'Variety', 'Clone', 'Class', 'Where', 'May it be used']}>
      {props.offered.map(({ lot, where, judgement, reasons }) => (
        <tr>
          <th scope="row">
            <a href={props.hrefOf(lot.lot_id)}>{lot.reference}</a>
          </th>
          <td>{lot.variety ?? 'unknown'}</td>
          <td>{lot.clone ?? ''}</td>
          <td>{[lot.scheme, lot.class].filter(Boolean).join(' ')}</td>
          <td class="lines">{where.join('\n')}</td>
          <td>
            <VerdictMark verdict={judgement.verdict} />
            <p class="hint lines">{reasons.join('\n')}</p>
          </td>
        </tr>
      ))}
    </Table>
  )
}
