// One source: what it is, its standing over time, its tests, its vines, and the lots cut from it.
import type { Context } from 'hono'
import { ruleResults } from '#trade/schemes/rule-results.ts'
import { localDay } from '#trade/zone-time.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readInspections } from '../../sources/inspections.ts'
import { readOwnRules, readRuleFacts } from '../../sources/rule-facts.ts'
import { readSource } from '../../sources/read.ts'
import type { SourceReading } from '../../sources/read.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { Saved } from '../saved.tsx'
import { shownDay, shownTime } from '../times.ts'
import { Inspections, SchemeRules } from './source-rules.tsx'
import { SourceTable } from './source-table.tsx'
import { recallQuery } from '../../trace/recall-question.ts'

/** Shows the source in the address. */
export async function showSource(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const sourceId = pathId(c, 'sourceId', 'source')
  const source = found(await readSource(db, sourceId, clock.now()), 'source')
  const zone = await nurseryTimeZone(db)
  const { line } = source
  const path = `/sources/${sourceId}`
  const inspections = await readInspections(db, [sourceId])
  const facts = (await readRuleFacts(db, [sourceId], zone)).get(sourceId)
  const today = localDay(clock.now().getTime(), zone)
  const results = facts === undefined ? [] : ruleResults(facts, today, await readOwnRules(db))
  return show(
    c,
    <Page
      c={c}
      title={line.name}
      lead={`Source ${line.level} of ${line.variety ?? 'an unknown variety'}.`}
      actions={
        <>
          <a class="button main" href={`/lots/cut?source=${sourceId}`}>
            Cut a lot
          </a>
          <a class="button" href={`/trace/forward/source/${sourceId}`}>
            Trace forward
          </a>
          <a class="button" href={`${path}/standing`}>
            Change standing
          </a>
          <a class="button" href={`${path}/test`}>
            Enter a test
          </a>
          <a class="button" href={`${path}/inspection`}>
            Enter an inspection
          </a>
          <a class="button" href={`/custody/holds/place?kind=source&id=${sourceId}`}>
            Place a hold
          </a>
          <a class="button" href={`${path}/edit`}>
            Correct
          </a>
        </>
      }
    >
      <Saved c={c} />
      <Warnings source={source} />
      <Facts source={source} />
      <Standings source={source} />
      <Tests source={source} />
      <Inspections inspections={inspections} />
      <SchemeRules scheme={line.scheme} results={results} />
      <Holds source={source} zone={zone} />
      <Vines source={source} path={path} />
      <Lots source={source} zone={zone} />
    </Page>,
  )
}

type Part = { source: SourceReading }

function Warnings({ source: { line, holds, tests } }: Part) {
  const detected = tests.filter((test) => test.result === 'detected')
  const standing = holds.filter((hold) => hold.lifted_at === null)
  return (
    <>
      {line.held && standing.length === 0 ? (
        <p class="care">The block it stands in is on hold.</p>
      ) : null}
      {line.standing !== null && line.standing !== 'good' ? (
        <p class="care">
          {line.standing} since {line.standing_since}: wood cut since then is stopped.
        </p>
      ) : null}
      {detected.length > 0 && !line.held ? (
        <p class="care">
          {detected[0]?.agent} was detected in a sample of {detected[0]?.sampled_on}, and no hold
          stands. Decide whether wood of this source may be used.
        </p>
      ) : null}
    </>
  )
}

function Facts({ source: { line, note, parent, origin_lot, vine } }: Part) {
  return (
    <dl class="facts">
      <dt>Registry number</dt>
      <dd>{line.registry_number ?? 'none given'}</dd>
      <dt>Clone</dt>
      <dd>{line.clone ?? 'none given'}</dd>
      <dt>Scheme and class</dt>
      <dd>{[line.scheme, line.class].filter(Boolean).join(', ') || 'none given'}</dd>
      <dt>Planted</dt>
      <dd>{line.planted_year ?? 'not recorded'}</dd>
      {parent === null ? null : (
        <>
          <dt>Stands in</dt>
          <dd>
            <a href={`/sources/${parent.source_id}`}>{parent.name}</a>
          </dd>
        </>
      )}
      {origin_lot === null ? null : (
        <>
          <dt>Grown from lot</dt>
          <dd>
            <a href={`/lots/${origin_lot.lot_id}`}>{origin_lot.reference ?? 'not registered'}</a>
          </dd>
        </>
      )}
      {vine === null ? null : (
        <>
          <dt>Field vine</dt>
          <dd>
            <a href={`/blocks/vines/${vine.row_id}/${vine.position}`}>
              {vine.block ?? 'unknown block'}, row {vine.row ?? 'unknown'}, vine {vine.position}
            </a>
          </dd>
        </>
      )}
      {note === '' ? null : (
        <>
          <dt>Note</dt>
          <dd class="lines">{note}</dd>
        </>
      )}
    </dl>
  )
}

function Standings({ source: { standings } }: Part) {
  if (standings.length === 0) {
    return (
      <p class="note">No standing is recorded: a registered source counts as good until one is.</p>
    )
  }
  return (
    <Table caption="Standing in the register" head={['From', 'Standing', 'Reason']}>
      {standings.map((row) => (
        <tr>
          <td>{row.effective_from}</td>
          <td>{row.standing}</td>
          <td class="lines">{row.reason}</td>
        </tr>
      ))}
    </Table>
  )
}

function recallOf(id: string, { agent, sampled_on: foundOn }: SourceReading['tests'][number]) {
  return recallQuery({ start: { kind: 'source', id }, agent, foundOn })
}

function Tests({ source: { line, tests } }: Part) {
  if (tests.length === 0) return <p class="note">No health test is recorded.</p>
  const head = ['Sampled', 'Agent', 'Result', 'Method', 'Laboratory', 'Vines', 'Sample']
  return (
    <Table caption="Health tests" head={head}>
      {tests.map((test) => (
        <tr>
          <td>{test.sampled_on}</td>
          <td>{test.agent}</td>
          <td>
            {test.result === 'detected' ? (
              <>
                <strong>detected</strong>{' '}
                <a href={`/trace/recall/of?${recallOf(line.source_id, test)}`}>recall</a>
              </>
            ) : (
              test.result
            )}
          </td>
          <td>{test.method}</td>
          <td>{test.laboratory}</td>
          <td class="number">{test.pooled_vines}</td>
          <td>{test.sample_reference ?? ''}</td>
        </tr>
      ))}
    </Table>
  )
}

function Holds({ source: { holds }, zone }: Part & { zone: string }) {
  if (holds.length === 0) return null
  return (
    <Table caption="Holds" head={['Placed', 'Agent', 'Reason', 'Lifted']}>
      {holds.map((hold) => (
        <tr>
          <td>{shownTime(hold.placed_at, zone)}</td>
          <td>{hold.agent ?? 'none named'}</td>
          <td class="lines">{hold.reason}</td>
          <td>
            {hold.lifted_at === null ? (
              <a href={`/custody/holds/${hold.hold_id}`}>stands</a>
            ) : (
              `${shownTime(hold.lifted_at, zone)}: ${hold.lift_reason ?? ''}`
            )}
          </td>
        </tr>
      ))}
    </Table>
  )
}

function Vines({ source: { line, vines }, path }: Part & { path: string }) {
  if (line.level !== 'block') return null
  return (
    <>
      <h2>Source vines in this block</h2>
      {vines.length === 0 ? null : <SourceTable caption="Vines" sources={vines} />}
      <p>
        <a href={`/sources/new?parent=${path.slice('/sources/'.length)}`}>
          Register a vine of this block
        </a>
      </p>
    </>
  )
}

function Lots({ source: { line, lots }, zone }: Part & { zone: string }) {
  if (lots.length === 0) return <p class="note">No lot was cut from it yet.</p>
  const head = ['Lot', 'How', 'When', 'Sticks', ...(line.level === 'block' ? ['From'] : [])]
  return (
    <Table caption="Lots of this source" head={head}>
      {lots.map((lot) => (
        <tr>
          <td>
            <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>
          </td>
          <td>{lot.made_by}</td>
          <td>{shownDay(lot.made_at, zone)}</td>
          <td class="number">{lot.sticks}</td>
          {line.level === 'block' ? <td>{lot.source ?? ''}</td> : null}
        </tr>
      ))}
    </Table>
  )
}
