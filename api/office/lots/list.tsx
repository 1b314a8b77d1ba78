// The list of lots, narrowed by what a person looks for, each with its verdict.
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { judgeLots } from '../../lots/judge-lots.ts'
import { piecesText } from '../../lots/pieces.ts'
import { listLots, LOT_PAGE } from '../../lots/read.ts'
import type { LotLine } from '../../lots/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { Saved } from '../saved.tsx'

/** Seasons differ between hemispheres; twelve months hold one anywhere. */
const seasonDays = 365

type Asked = { text: string; left: boolean; held: boolean; season: boolean; page: number }

/** Shows the list. */
export async function showLots(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const asked = readAsked(c)
  const since = new Date(now.getTime() - seasonDays * 86_400_000)
  const { text, left, held, page } = asked
  const filter = { text, left, held, page, ...(asked.season ? { since } : {}) }
  const lots = await listLots(db, filter)
  const verdicts = await judgeLots(
    db,
    lots.map((lot) => lot.lot_id),
    now,
  )
  return show(
    c,
    <Page
      c={c}
      title="Lots"
      lead="Wood of one variety, clone, class and origin, cut in one go."
      actions={<Actions />}
    >
      <Saved c={c} />
      <Narrow asked={asked} />
      <LotTable lots={lots} verdicts={verdicts} isNarrowed={isNarrowed(asked)} />
      {lots.length === LOT_PAGE ? (
        <p>
          <a href={`/lots?${queryOf({ ...asked, page: page + 1 })}`}>Older lots</a>
        </p>
      ) : null}
    </Page>,
  )
}

function Actions() {
  return (
    <>
      <a class="button main" href="/lots/cut">
        Cut a lot
      </a>
      <a class="button" href="/lots/receive">
        Receive a lot
      </a>
      <a class="button" href="/lots/combine">
        Combine lots
      </a>
    </>
  )
}

function readAsked(c: Context<Env>): Asked {
  const page = Math.trunc(Number(c.req.query('page') ?? 0))
  return {
    text: (c.req.query('find') ?? '').slice(0, 100),
    left: c.req.query('left') === 'yes',
    held: c.req.query('held') === 'yes',
    season: c.req.query('season') === 'yes',
    page: Number.isSafeInteger(page) && page > 0 ? Math.min(page, 100_000) : 0,
  }
}

const isNarrowed = ({ text, left, held, season }: Asked) => text !== '' || left || held || season

function queryOf(asked: Asked): string {
  const query = new URLSearchParams({ find: asked.text, page: String(asked.page) })
  for (const name of ['left', 'held', 'season'] as const) {
    if (asked[name]) query.set(name, 'yes')
  }
  return query.toString()
}

function Narrow({ asked }: { asked: Asked }) {
  const ticks = [
    ['left', 'with stock left'],
    ['held', 'on hold'],
    ['season', 'of the last twelve months'],
  ] as const
  return (
    <form class="actions narrow" action="/lots">
      <label for="lots-find">Reference, variety or clone</label>
      <input id="lots-find" name="find" type="search" value={asked.text} />
      {ticks.map(([name, label]) => (
        <label class="tick">
          <input type="checkbox" name={name} value="yes" checked={asked[name]} /> {label}
        </label>
      ))}
      <button>Show</button>
    </form>
  )
}

function LotTable(props: {
  lots: LotLine[]
  verdicts: Map<string, Judgement>
  isNarrowed: boolean
}) {
  const { lots } = props
  if (lots.length === 0) {
    return (
      <p class="note">
        {props.isNarrowed ? 'No lot fits.' : 'No lot yet. Cut or receive one to begin.'}
      </p>
    )
  }
  const head = ['Lot', 'Verdict', 'Variety', 'Clone', 'Class', 'Source', 'At hand', 'Buds set']
  return (
    <Table
      numbers={[7]}
      caption={`${lots.length} ${lots.length === 1 ? 'lot' : 'lots'}, newest first`}
      head={head}
    >
      {lots.map((lot) => (
        <LotRow lot={lot} verdict={props.verdicts.get(lot.lot_id)} />
      ))}
    </Table>
  )
}

function LotRow({ lot, verdict }: { lot: LotLine; verdict: Judgement | undefined }) {
  return (
    <tr>
      <td class="whole">
        <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>
      </td>
      <td>
        {verdict === undefined ? '' : <VerdictMark verdict={verdict.verdict} />}
        {lot.held ? <span class="quiet"> on hold</span> : ''}
      </td>
      <td>{lot.variety ?? 'unknown'}</td>
      <td>{lot.clone ?? ''}</td>
      <td>{lot.class ?? ''}</td>
      <td>{lot.source ?? 'unknown'}</td>
      <td>{atHand(lot)}</td>
      <td class="number">{lot.buds_set}</td>
    </tr>
  )
}

/** Sticks opened for buds show as what is left of them. */
function atHand({ material, sticks, buds, bud_equivalents }: LotLine): string {
  if (bud_equivalents < 0) return 'less than nothing: see the findings'
  if (sticks >= 0 && buds >= 0) return piecesText(material, { sticks, buds })
  return `${bud_equivalents} buds, on opened sticks`
}
