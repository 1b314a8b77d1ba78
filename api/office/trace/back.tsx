// Trace back: what a vine or a lot is made of, to its sources, with exact shares.
import type { Context, Hono } from 'hono'
import { localDay } from '#trade/zone-time.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { readRow } from '../../nursery/read-blocks.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { sharesBySource, traceLotBack, traceVineBack } from '../../trace/back.ts'
import type { TraceBack, VinePart } from '../../trace/back.ts'
import { parentWeights } from '../../trace/nodes.ts'
import { csvFile } from '../csv-file.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { backGraph, exactly, percent } from './graph.ts'
import { LineagePicture } from './picture.tsx'

type Start = { id: string; label: string; vineHref: string | null; csv: string }

/** Adds the pages and files of tracing back. */
export function addBackPages(pages: Hono<Env>): void {
  pages.get('/back/vine/:rowId/:position{[0-9]+}', async (c) => {
    const { trace, start } = await vineTrace(c)
    return backPage(c, trace, start)
  })
  pages.get('/back/vine/:rowId/:position{[0-9]+}/origins.csv', async (c) => {
    const { trace, start } = await vineTrace(c)
    return originsFile(c, trace, start)
  })
  pages.get('/back/lot/:lotId{[0-9a-f-]{36}}', async (c) => {
    const { trace, start } = await lotTrace(c)
    return backPage(c, trace, start)
  })
  pages.get('/back/lot/:lotId{[0-9a-f-]{36}}/origins.csv', async (c) => {
    const { trace, start } = await lotTrace(c)
    return originsFile(c, trace, start)
  })
}

async function vineTrace(c: Context<Env>): Promise<{ trace: TraceBack; start: Start }> {
  const { db } = c.get('services')
  const rowId = c.req.param('rowId') ?? ''
  const position = Number(c.req.param('position'))
  const row = /^[0-9a-f-]{36}$/.test(rowId) ? await readRow(db, rowId) : null
  if (row === null || position < 1 || position > row.position_count) {
    refuse('not_found', 'there is no such vine: look it up under Blocks', { status: 404 })
  }
  const label = `${row.block_name ?? 'a block'}, row ${row.label}, vine ${position}`
  const trace = await traceVineBack(db, rowId, position)
  const start = {
    id: rowId,
    label,
    vineHref: `/blocks/vines/${rowId}/${position}`,
    csv: `/trace/back/vine/${rowId}/${position}/origins.csv`,
  }
  return { trace, start }
}

async function lotTrace(c: Context<Env>): Promise<{ trace: TraceBack; start: Start }> {
  const { db } = c.get('services')
  const lotId = c.req.param('lotId') ?? ''
  const trace = await traceLotBack(db, lotId)
  const lot = trace.lots.find((candidate) => candidate.lot_id === lotId)
  if (lot === undefined) {
    refuse('not_found', 'no entry tells of this lot: look it up under Lots', { status: 404 })
  }
  const csv = `/trace/back/lot/${lotId}/origins.csv`
  return { trace, start: { id: lotId, label: `lot ${lot.reference}`, vineHref: null, csv } }
}

async function backPage(c: Context<Env>, trace: TraceBack, start: Start) {
  const { db } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const weights = await parentWeights(
    db,
    trace.lots.map((lot) => lot.lot_id),
  )
  const graph = backGraph(trace, weights, start)
  return show(
    c,
    <Page
      c={c}
      title={`Back from ${start.label}`}
      lead="What it is made of, as the entries say. This is evidence, not a certificate."
      actions={
        <>
          <a class="button" href={start.csv}>
            Origins as CSV
          </a>
          {start.vineHref === null ? null : (
            <a class="button" href={start.vineHref}>
              The vine
            </a>
          )}
        </>
      }
    >
      {start.vineHref === null ? null : <Parts trace={trace} zone={zone} />}
      <Shares trace={trace} />
      <Sources trace={trace} />
      <LineagePicture graph={graph} title={`Lineage of ${start.label}`} />
    </Page>,
  )
}

function Parts({ trace, zone }: { trace: TraceBack; zone: string }) {
  if (trace.parts.length === 0) {
    return <p class="note">Nothing was ever grafted here, and no trunk is on record.</p>
  }
  const lots = new Map(trace.lots.map((lot) => [lot.lot_id, lot.reference]))
  const sources = new Map(trace.sources.map((source) => [source.source_id, source.name]))
  const day = (at: Date | null) => (at === null ? '' : localDay(at.getTime(), zone))
  const head = ['Part', 'Variety', 'Origin', 'When', 'Method', 'Buds', 'Last seen']
  return (
    <Table caption="Parts of this vine, from the ground up" head={head} numbers={[5]}>
      {trace.parts.map((part) => (
        <tr>
          <td>{part.part}</td>
          <td>{part.variety ?? 'unknown'}</td>
          <td>
            {part.origin_id === null ? (
              'unknown'
            ) : (
              <a href={originHref(part)}>
                {lots.get(part.origin_id) ?? sources.get(part.origin_id) ?? 'not on record'}
              </a>
            )}
          </td>
          <td>{part.part === 'graft' ? day(part.at) : (part.planted_year ?? '')}</td>
          <td>{part.method ?? ''}</td>
          <td class="number">{part.bud_count ?? ''}</td>
          <td>{lastSeen(part, day)}</td>
        </tr>
      ))}
    </Table>
  )
}

const originHref = (part: VinePart) =>
  part.origin_kind === 'source' ? `/sources/${part.origin_id}` : `/trace/back/lot/${part.origin_id}`

function lastSeen(part: VinePart, day: (at: Date | null) => string): string {
  if (part.part !== 'graft') return ''
  if (part.removed_at !== null) return `removed ${day(part.removed_at)}`
  if (part.checked_at === null) return 'not checked'
  const seen = `${part.growing} growing, ${part.callused} callused, ${part.failed} failed`
  return `${seen} (${day(part.checked_at)})`
}

function Shares({ trace }: { trace: TraceBack }) {
  const names = new Map(trace.sources.map((source) => [source.source_id, source.name]))
  const lots = new Map(trace.lots.map((lot) => [lot.lot_id, lot.reference]))
  return (
    <>
      {trace.shares.map(({ lotId, origins, problem }) => (
        <Table
          caption={`Shares of origin of lot ${lots.get(lotId) ?? lotId}`}
          head={['Source', 'Share', 'Exactly']}
          numbers={[1, 2]}
        >
          {problem === null ? null : (
            <tr>
              <td colspan={3}>{problem}</td>
            </tr>
          )}
          {[...sharesBySource(origins)].map(([sourceId, share]) => (
            <tr>
              <td>
                {sourceId === null ? (
                  'origin unknown'
                ) : (
                  <a href={`/sources/${sourceId}`}>{names.get(sourceId) ?? 'not on record'}</a>
                )}
              </td>
              <td class="number">{percent(share)}</td>
              <td class="number">{exactly(share)}</td>
            </tr>
          ))}
        </Table>
      ))}
    </>
  )
}

function Sources({ trace }: { trace: TraceBack }) {
  if (trace.sources.length === 0) {
    return <p class="note">No source is on record for this: its origin is unknown.</p>
  }
  const head = ['Source', 'Level', 'Variety', 'Clone', 'Scheme', 'Class', 'Registry', '', '']
  return (
    <Table caption="Every source upstream" head={head}>
      {trace.sources.map((source) => (
        <tr>
          <td>
            <a href={`/sources/${source.source_id}`}>{source.name}</a>
          </td>
          <td>{source.level}</td>
          <td>{source.variety ?? 'unknown'}</td>
          <td>{source.clone ?? ''}</td>
          <td>{source.scheme ?? ''}</td>
          <td>{source.class ?? ''}</td>
          <td>{source.registry_number ?? ''}</td>
          <td>{source.held ? 'on hold' : ''}</td>
          <td>
            <a href={`/trace/forward/source/${source.source_id}`}>forward to its vines</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

function originsFile(c: Context<Env>, trace: TraceBack, start: Start) {
  const names = new Map(trace.sources.map((source) => [source.source_id, source]))
  const lots = new Map(trace.lots.map((lot) => [lot.lot_id, lot.reference]))
  const rows = trace.shares.flatMap(({ lotId, origins }) =>
    origins.map(({ sourceId, firstLotId, share }) => {
      const source = sourceId === null ? undefined : names.get(sourceId)
      return [
        start.label,
        lots.get(lotId) ?? lotId,
        lots.get(firstLotId) ?? firstLotId,
        source?.name ?? 'unknown',
        source?.registry_number ?? '',
        source?.variety ?? '',
        source?.clone ?? '',
        source?.class ?? '',
        exactly(share),
        percent(share),
      ]
    }),
  )
  const header = ['of', 'lot', 'first_lot', 'source', 'registry_number', 'variety', 'clone']
  return csvFile(c, 'origins.csv', [...header, 'class', 'share', 'percent'], rows)
}
