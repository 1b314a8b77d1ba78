// One recall: what may be reached by lot and row, on a map, with holds, and what is not known.
import type { Context } from 'hono'
import { raw } from 'hono/html'
import { localOfInstant } from '#trade/zone-time.ts'
import { counted } from '../../custody/finding-word-shape.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { may } from '../../people/rights.ts'
import type { Env } from '../../platform/services.ts'
import { readCovers } from '../../trace/recall-cover.ts'
import type { Cover } from '../../trace/recall-cover.ts'
import type { Recall } from '../../trace/recall.ts'
import { SINCE_EVER } from '../../trace/recall-spread.ts'
import type { RecalledRow } from '../../trace/recall-vines.ts'
import { routeWords, sinceWords, unknownWords } from '../../trace/recall-words.ts'
import { csvFile } from '../csv-file.ts'
import { show } from '../form-page.tsx'
import type { FormState } from '../form.ts'
import { Page, Table } from '../layout.tsx'
import { recallMapSvg } from '../pictures/recall-map.ts'
import { Saved } from '../saved.tsx'
import { shownDay } from '../times.ts'
import { askedRecall } from './recall-asked.ts'
import type { AskedRecall } from './recall-asked.ts'
import { HoldForm } from './recall-holds.tsx'

/** The page of the recall that the address asks for; `form` is the holds' form as last sent. */
export async function recallPage(c: Context<Env>, form: FormState) {
  const asked = await askedRecall(c)
  const { recall, label, query } = asked
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const covers = await readCovers(db, recall, clock.now())
  return (
    <Page
      c={c}
      title={`Recall: ${recall.question.agent}`}
      lead={leadOf(asked)}
      actions={
        <>
          <a class="button" href={`/trace/recall/notices?${query}`}>
            Drafts of notices
          </a>
          <a class="button" href={`/trace/recall/vines.csv?${query}`}>
            Every vine as CSV
          </a>
          <a class="button" href={`/dossier/recall?${query}`}>
            Dossier of this recall
          </a>
          {may(c.get('person').role, 'open the record to auditors') ? (
            <a class="button" href={`/people/audits/new?recall=${encodeURIComponent(query)}`}>
              Open to an auditor
            </a>
          ) : null}
        </>
      }
    >
      <Saved c={c} />
      <p>{sinceWords(recall)}</p>
      <p>Followed: {[...recall.routes].map((route) => routeWords[route]).join('; ')}.</p>
      <p class="care">
        Where a quarantine pest or disease is suspected, the law in most countries asks you to tell
        the plant-health authority at once, and may forbid moving or destroying plants before it
        answers. This record does not do that for you, and it proves no infection: it shows what was
        in contact.
      </p>
      <HoldForm recall={recall} covers={covers} query={query} form={form} />
      <Lots recall={recall} covers={covers} zone={zone} />
      <Blocks rows={recall.rows} />
      <Unknowns recall={recall} />
      <Upstream recall={recall} label={label} />
    </Page>
  )
}

function leadOf({ recall, label }: AskedRecall): string {
  const { lots, rows, vineCount, question } = recall
  return (
    `Found in ${label}, sampled ${question.foundOn}. It may have reached ` +
    `${counted(lots.length, 'lot')} and ${counted(vineCount, 'vine')} in ` +
    `${counted(rows.length, 'row')}.`
  )
}

function Lots(props: { recall: Recall; covers: ReadonlyMap<string, Cover>; zone: string }) {
  const { recall, covers, zone } = props
  const names = new Map<string, string>([
    ...recall.sources.map((source) => [source.source_id, `source ${source.name}`] as const),
    ...recall.lots.map((lot) => [lot.lot_id, `lot ${lot.reference}`] as const),
  ])
  if (recall.lots.length + recall.sources.length === 0) {
    return <p class="note">No lot and no source is reached.</p>
  }
  const holdOn = (id: string) => holdCell(id, covers.get(id), names)
  const since = (from: Date) =>
    from.getTime() === SINCE_EVER.getTime() ? 'ever' : shownDay(from, zone)
  return (
    <Table
      caption="Sources and lots, in the order in which they were made"
      head={['What', 'By', 'From', 'Since', 'Buds left', 'Hold']}
      numbers={[4]}
    >
      {recall.sources.map(({ source_id, name, reached }) => (
        <tr>
          <td>
            source <a href={`/sources/${source_id}`}>{name}</a>
          </td>
          <td>{routeWords[reached.route]}</td>
          <td>{reached.via === null ? 'found here' : (names.get(reached.via) ?? '')}</td>
          <td class="whole">{since(reached.from)}</td>
          <td class="number" />
          <td>{holdOn(source_id)}</td>
        </tr>
      ))}
      {recall.lots.map((lot) => (
        <tr>
          <td>
            lot <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>
          </td>
          <td>{routeWords[lot.reached.route]}</td>
          <td>{lot.reached.via === null ? 'found here' : (names.get(lot.reached.via) ?? '')}</td>
          <td class="whole">{since(lot.reached.from)}</td>
          <td class="number">{lot.buds_left}</td>
          <td>{holdOn(lot.lot_id)}</td>
        </tr>
      ))}
    </Table>
  )
}

function holdCell(id: string, cover: Cover | undefined, names: ReadonlyMap<string, string>) {
  if (cover === undefined) return 'none'
  const words =
    cover.onId === id
      ? 'on hold'
      : `on hold through ${names.get(cover.onId) ?? 'what it came of or met'}`
  return <a href={`/custody/holds/${cover.holdId}`}>{words}</a>
}

function Blocks({ rows }: { rows: readonly RecalledRow[] }) {
  const blocks = new Map<string, RecalledRow[]>()
  for (const row of rows) {
    const name = row.block ?? 'Rows that are not laid out'
    blocks.set(name, [...(blocks.get(name) ?? []), row])
  }
  return (
    <>
      {[...blocks].map(([name, own]) => {
        const svg = recallMapSvg(name, own)
        return (
          <section>
            <h2>{name}</h2>
            {svg === null ? (
              <p class="note">Too many vines for one picture; the table has them all.</p>
            ) : (
              <figure class="map">{raw(svg)}</figure>
            )}
            <Table
              caption={`Vines that may be reached in ${name}`}
              head={['Row', 'Vines', 'By buds', 'By the trunk', 'By a blade', 'Positions']}
              numbers={[1, 2, 3, 4]}
            >
              {own.map((row) => (
                <tr>
                  <td>
                    <a href={`/blocks/rows/${row.row_id}`}>{row.row_label ?? row.row_id}</a>
                  </td>
                  <td class="number">{row.vines.length}</td>
                  {(['buds', 'trunk', 'blade'] as const).map((how) => (
                    <td class="number">{row.vines.filter((vine) => vine.how === how).length}</td>
                  ))}
                  <td>{spans(row.vines.map((vine) => vine.position))}</td>
                </tr>
              ))}
            </Table>
          </section>
        )
      })}
    </>
  )
}

/** Positions as spans, like 1–12, 15, 17–20. */
function spans(positions: readonly number[]): string {
  const parts: { from: number; to: number }[] = []
  for (const position of positions) {
    const last = parts.at(-1)
    if (last !== undefined && position === last.to + 1) last.to = position
    else parts.push({ from: position, to: position })
  }
  return parts.map(({ from, to }) => (from === to ? `${from}` : `${from}–${to}`)).join(', ')
}

function Unknowns({ recall }: { recall: Recall }) {
  return (
    <section>
      <h2>What cannot be known, and why</h2>
      <ul>
        {recall.unknowns.map((unknown) => (
          <li>{unknownWords(unknown)}</li>
        ))}
      </ul>
    </section>
  )
}

function Upstream({ recall, label }: { recall: Recall; label: string }) {
  const { sources, lots } = recall.upstream
  if (sources.length + lots.length === 0) return null
  return (
    <section>
      <h2>Where it may have come from</h2>
      <p>
        What {label} is made of. Test these: if one has it, begin a recall there, for that reaches
        further.
      </p>
      <ul>
        {sources.map(({ source_id, name }) => (
          <li>
            source <a href={`/sources/${source_id}`}>{name}</a>
          </li>
        ))}
        {lots.map(({ lot_id, reference }) => (
          <li>
            lot <a href={`/lots/${lot_id}`}>{reference}</a>
          </li>
        ))}
      </ul>
    </section>
  )
}

/** Every vine that is reached, one line each, as a CSV file. */
export async function recallVinesFile(c: Context<Env>) {
  const { recall, label } = await askedRecall(c)
  const zone = await nurseryTimeZone(c.get('services').db)
  const names = new Map<string, string>([
    ...recall.lots.map((lot) => [lot.lot_id, lot.reference] as const),
    ...recall.sources.map((source) => [source.source_id, source.name] as const),
  ])
  const lines = recall.rows.flatMap((row) =>
    row.vines.map((vine) => [
      ...[label, recall.question.agent, row.block ?? '', row.row_label ?? row.row_id],
      ...[vine.position, vine.how, vine.viaId === null ? '' : (names.get(vine.viaId) ?? '')],
      vine.at === null ? '' : localOfInstant(vine.at.getTime(), zone),
    ]),
  )
  const head = ['from', 'agent', 'block', 'row', 'position', 'by', 'lot_or_source', 'at']
  return csvFile(c, 'recall.csv', head, lines)
}

/** Shows the recall. */
export async function showRecall(c: Context<Env>, form: FormState) {
  return show(c, await recallPage(c, form))
}
