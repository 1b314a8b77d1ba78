// Trace forward: every lot and vine that holds anything of a source, lot or bath.
import type { Context, Hono } from 'hono'
import { localOfInstant, writtenTime } from '#trade/zone-time.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { reachedByOrigin, reachedVines, startIds, traceForward } from '../../trace/forward.ts'
import type { ForwardStart, TraceForward } from '../../trace/forward.ts'
import { parentWeights } from '../../trace/nodes.ts'
import { csvFile } from '../csv-file.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { counted } from '../../custody/finding-word-shape.ts'
import { forwardGraph } from './graph.ts'
import { LineagePicture } from './picture.tsx'

/** Adds the page and the file of tracing forward. */
export function addForwardPages(pages: Hono<Env>): void {
  pages.get('/forward/:kind{source|lot|bath}/:id{[0-9a-f-]{36}}', forwardPage)
  pages.get('/forward/:kind{source|lot|bath}/:id{[0-9a-f-]{36}}/vines.csv', vinesFile)
}

async function readTrace(c: Context<Env>) {
  const { db } = c.get('services')
  const start = { kind: c.req.param('kind'), id: c.req.param('id') } as ForwardStart
  const trace = await traceForward(db, start)
  const label = await startLabel(c, start, trace)
  return { db, start, trace, label }
}

async function startLabel(c: Context<Env>, start: ForwardStart, trace: TraceForward) {
  if (start.kind === 'source') {
    const source = trace.sources.find((candidate) => candidate.source_id === start.id)
    if (source !== undefined) return `source ${source.name}`
  }
  if (start.kind === 'lot') {
    const lot = trace.lots.find((candidate) => candidate.lot_id === start.id)
    if (lot !== undefined) return `lot ${lot.reference}`
  }
  if (start.kind === 'bath') {
    const { db } = c.get('services')
    const bath = await db
      .selectFrom('bath')
      .select('filled_at')
      .where('bath_id', '=', start.id)
      .executeTakeFirst()
    if (bath !== undefined) {
      const zone = await nurseryTimeZone(db)
      return `the bath filled ${writtenTime(bath.filled_at.getTime(), zone)}`
    }
  }
  return refuse('not_found', `no entry tells of this ${start.kind}`, { status: 404 })
}

async function forwardPage(c: Context<Env>) {
  const { db, start, trace, label } = await readTrace(c)
  const { ids } = trace.lineage
  const [weights, reachedBy, focusIds] = await Promise.all([
    parentWeights(db, ids),
    reachedByOrigin(db, ids),
    startIds(db, start),
  ])
  const graph = forwardGraph(trace, weights, reachedBy, focusIds)
  const vines = trace.rows.reduce((sum, row) => sum + row.vines, 0)
  const downstream = trace.lots.length - (start.kind === 'lot' ? 1 : 0)
  const reach = `${counted(vines, 'vine')} in ${counted(trace.rows.length, 'row')}`
  const lead = `${reach}, through ${counted(downstream, 'lot')}.`
  return show(
    c,
    <Page
      c={c}
      title={`Forward from ${label}`}
      lead={lead}
      actions={
        <a class="button" href={`/trace/forward/${start.kind}/${start.id}/vines.csv`}>
          Every vine as CSV
        </a>
      }
    >
      <Rows trace={trace} />
      <Lots trace={trace} />
      <LineagePicture graph={graph} title={`What came of ${label}`} />
    </Page>,
  )
}

function Rows({ trace }: { trace: TraceForward }) {
  if (trace.rows.length === 0) return <p class="note">No vine holds anything of it.</p>
  return (
    <Table
      caption="Vines by row"
      head={['Block', 'Row', 'Vines', 'Grafts', 'Buds set']}
      numbers={[2, 3, 4]}
    >
      {trace.rows.map((row) => (
        <tr>
          <td>{row.block ?? 'not laid out'}</td>
          <td>
            <a href={`/blocks/rows/${row.row_id}`}>{row.row_label ?? row.row_id}</a>
          </td>
          <td class="number">{row.vines}</td>
          <td class="number">{row.grafts}</td>
          <td class="number">{row.buds}</td>
        </tr>
      ))}
    </Table>
  )
}

function Lots({ trace }: { trace: TraceForward }) {
  if (trace.lots.length === 0) return null
  return (
    <Table caption="Lots" head={['Lot', 'Made by', 'Variety', 'Clone', 'Class', '']}>
      {trace.lots.map((lot) => (
        <tr>
          <td>
            <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>
          </td>
          <td>{lot.made_by}</td>
          <td>{lot.variety ?? 'unknown'}</td>
          <td>{lot.clone ?? ''}</td>
          <td>{lot.class ?? ''}</td>
          <td>{lot.held ? 'on hold' : ''}</td>
        </tr>
      ))}
    </Table>
  )
}

async function vinesFile(c: Context<Env>) {
  const { db, trace, label } = await readTrace(c)
  const zone = await nurseryTimeZone(db)
  const vines = await reachedVines(db, trace.lineage.ids)
  const rows = new Map(trace.rows.map((row) => [row.row_id, row]))
  const names = new Map<string, string>([
    ...trace.lots.map((lot) => [lot.lot_id, lot.reference] as const),
    ...trace.sources.map((source) => [source.source_id, source.name] as const),
  ])
  const lines = vines.map((vine) => {
    const row = rows.get(vine.row_id)
    const at = vine.at === null ? '' : localOfInstant(vine.at.getTime(), zone)
    return [
      ...[label, row?.block ?? '', row?.row_label ?? vine.row_id, vine.position, vine.part],
      ...[names.get(vine.origin_id) ?? vine.origin_id, at],
    ]
  })
  const header = ['from', 'block', 'row', 'position', 'part', 'lot_or_source', 'grafted_at']
  return csvFile(c, 'vines.csv', header, lines)
}
