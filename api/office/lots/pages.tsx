// Lots: the list, and the way to a lot's whole story.
import { Hono } from 'hono'
import { listLots, LOT_PAGE } from '../../lots/read.ts'
import type { LotLine } from '../../lots/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'

export const lotPages = new Hono<Env>()

lotPages.get('/', async (c) => {
  const text = (c.req.query('find') ?? '').slice(0, 100)
  const page = Math.max(0, Math.trunc(Number(c.req.query('page') ?? 0)) || 0)
  const lots = await listLots(c.get('services').db, text, page)
  return show(
    c,
    <Page
      c={c}
      title="Lots"
      lead="Wood of one variety, clone, class and origin, cut in one go."
      actions={
        <>
          <a class="button main" href="/lots/cut">
            Cut a lot
          </a>
        </>
      }
    >
      <form class="actions" action="/lots">
        <label for="lots-find">Reference, variety or clone</label>
        <input id="lots-find" name="find" type="search" value={text} />
        <button>Show</button>
      </form>
      <LotTable lots={lots} />
      {lots.length === LOT_PAGE ? (
        <p>
          <a href={`/lots?find=${encodeURIComponent(text)}&page=${page + 1}`}>Older lots</a>
        </p>
      ) : null}
    </Page>,
  )
})

function LotTable({ lots }: { lots: LotLine[] }) {
  if (lots.length === 0) return <p class="note">No lot fits. Cut or receive one to begin.</p>
  const head = ['Lot', 'Variety', 'Clone', 'Class', 'Source', 'Sticks', 'Loose buds', 'Set', '']
  return (
    <Table caption={`${lots.length} lots, newest first`} head={head}>
      {lots.map((lot) => (
        <tr>
          <td>
            <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>
          </td>
          <td>{lot.variety ?? 'unknown'}</td>
          <td>{lot.clone ?? ''}</td>
          <td>{lot.class ?? ''}</td>
          <td>{lot.source ?? 'unknown'}</td>
          <td class="number">{lot.sticks}</td>
          <td class="number">{lot.buds}</td>
          <td class="number">{lot.buds_set}</td>
          <td>{lot.held ? 'on hold' : ''}</td>
        </tr>
      ))}
    </Table>
  )
}
