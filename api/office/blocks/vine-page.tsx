// One vine: its layers drawn as a stack, every graft attempted, and what was done to it.
import type { Context } from 'hono'
import { readVine } from '../../grafting/read.ts'
import type { LifeReading, VineReading } from '../../grafting/read.ts'
import type { CheckRow, GraftRow } from '../../grafting/row-facts.ts'
import { readNames } from '../../journal/names.ts'
import { planAt } from '../../nursery/read-blocks.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId, pathPosition } from '../path-id.ts'
import { vineStates as stateWords } from '../pictures/block-map-vines.ts'
import { Saved } from '../saved.tsx'
import { shownDay, shownTime } from '../times.ts'
import { rowTitle } from './row-page.tsx'
import { StackDrawing } from './vine-stack-drawing.tsx'

/** The vine in the address, which must be a place of a row or have something recorded. */
export async function requiredVine(c: Context<Env>): Promise<VineReading> {
  const rowId = pathId(c, 'rowId', 'row')
  const position = pathPosition(c, 'position')
  return found(await readVine(c.get('services').db, rowId, position), 'vine')
}

/** A vine by its block, row and position. */
export function vineTitle({ facts: { row }, record }: VineReading): string {
  return `${rowTitle(row)}, vine ${record.position}`
}

/** Shows the vine in the address. */
export async function showVine(c: Context<Env>) {
  const { db } = c.get('services')
  const vine = await requiredVine(c)
  const zone = await nurseryTimeZone(db)
  const names = await readNames(db, idsNamed(vine))
  const { row } = vine.facts
  return show(
    c,
    <Page
      c={c}
      title={vineTitle(vine)}
      lead={<Where vine={vine} />}
      actions={<Actions vine={vine} />}
    >
      <Saved c={c} />
      {vine.inRow ? null : (
        <p class="care">
          Row {row.label} has only {row.position_count} positions. What is recorded here belongs to
          another vine, or the row is longer than its layout says.
        </p>
      )}
      <Standing vine={vine} zone={zone} />
      {[...vine.lives].reverse().map((life, nr) => (
        <Life life={life} names={names} zone={zone} isNow={nr === 0} count={vine.lives.length} />
      ))}
    </Page>,
  )
}

function Where({
  vine: {
    facts: { row },
    sources,
  },
}: {
  vine: VineReading
}) {
  return (
    <>
      <a href={`/blocks/${row.block_id}`}>{row.block_name ?? 'Unknown block'}</a>,{' '}
      <a href={`/blocks/rows/${row.row_id}`}>row {row.label}</a>
      {sources.map((source) => (
        <>
          . Serves as source <a href={`/sources/${source.source_id}`}>{source.name}</a>
        </>
      ))}
    </>
  )
}

function Actions({ vine: { facts, record } }: { vine: VineReading }) {
  const { row_id: rowId } = facts.row
  const { position } = record
  return (
    <>
      <a class="button main" href={`/trace/back/vine/${rowId}/${position}`}>
        Trace back
      </a>
      <a class="button" href={`/sources/new?row=${rowId}&position=${position}`}>
        Register as a source
      </a>
    </>
  )
}

function Standing({ vine, zone }: { vine: VineReading; zone: string }) {
  const { now, facts, record } = vine
  const seasons = [...new Set(facts.plans.map((plan) => plan.season))].sort()
  const plans = seasons.flatMap((season) => planAt(facts.plans, season, record.position) ?? [])
  const when = now.at === null ? '' : `, ${shownDay(now.at, zone)}`
  return (
    <dl class="facts">
      <dt>Now</dt>
      <dd>
        <strong>{stateWords[now.state]}</strong>
        {when}
        {now.reason === null || now.reason === '' ? '' : `: ${now.reason}`}
      </dd>
      {plans.map((plan) => (
        <>
          <dt>Plan of {plan.season}</dt>
          <dd>
            {[
              plan.variety ?? 'unknown variety',
              plan.clone === null ? 'any clone' : `clone ${plan.clone}`,
              ...(plan.class === null ? [] : [`class ${plan.class}`]),
              ...(plan.method === null ? [] : [plan.method]),
              `${plan.buds_per_vine} ${plan.buds_per_vine === 1 ? 'bud' : 'buds'}`,
            ].join(', ')}
          </dd>
        </>
      ))}
    </dl>
  )
}

type Names = ReadonlyMap<string, string>

function Life(props: {
  life: LifeReading
  names: Names
  zone: string
  isNow: boolean
  count: number
}) {
  const { life, names, zone } = props
  return (
    <section>
      {props.count === 1 ? null : <h2>{lifeTitle(props)}</h2>}
      <StackDrawing stack={life.stack} names={names} plantedYear={life.life.plantedYear} />
      <Attempts life={life} names={names} zone={zone} />
      <Checks life={life} names={names} zone={zone} />
      <Skips life={life} names={names} zone={zone} />
    </section>
  )
}

function lifeTitle({ life: { life }, zone, isNow }: Parameters<typeof Life>[0]): string {
  const day = (at: number) => shownDay(new Date(at), zone)
  if (life.endedAt === null) {
    return life.beganAt === null ? 'The vine now' : `The vine since ${day(life.beganAt)}`
  }
  const reason = life.endedBy?.what === 'removed' ? `: ${life.endedBy.reason}` : ', replaced'
  const until = `${day(life.endedAt)}${reason}`
  return isNow ? `The vine that stood here until ${until}` : `An earlier vine, until ${until}`
}

type Part = { life: LifeReading; names: Names; zone: string }

function Attempts({ life, names, zone }: Part) {
  const { grafts } = life.life
  if (grafts.length === 0) return <p class="note">No graft is recorded on this vine.</p>
  const head = ['Grafted', 'Lot', 'Variety', 'Method', 'Buds', 'Outcome', 'By', '']
  const outcome = new Map(life.stack.attempts.map((one) => [one.graftId, one]))
  return (
    <Table caption="Grafts attempted" head={head}>
      {grafts.map((graft) => (
        <tr>
          <td>
            <a href={`/journal/${graft.graft_id}`}>{shownTime(graft.grafted_at, zone)}</a>
          </td>
          <td>
            <a href={`/lots/${graft.lot_id}`}>{graft.reference ?? 'not registered'}</a>
          </td>
          <td>{varietyWords(graft)}</td>
          <td>{graft.tie === null ? graft.method : `${graft.method}, ${graft.tie}`}</td>
          <td class="number">{graft.bud_count}</td>
          <td>
            {outcomeWords(graft, outcome.get(graft.graft_id)?.outcome ?? 'not checked', zone)}
          </td>
          <td>{names.get(graft.person_id) ?? 'not known'}</td>
          <td></td>
        </tr>
      ))}
    </Table>
  )
}

function varietyWords({ variety, clone }: GraftRow): string {
  return `${variety ?? 'unknown'}${clone === null ? '' : `, clone ${clone}`}`
}

function outcomeWords(graft: GraftRow, outcome: string, zone: string): string {
  if (graft.removed_at === null) return outcome
  return `removed ${shownDay(graft.removed_at, zone)}: ${graft.removal_reason ?? ''}`
}

function Checks({ life, names, zone }: Part) {
  const { checks, grafts } = life.life
  if (checks.length === 0) return null
  const lot = (check: CheckRow) => {
    const graft = grafts.find((one) => one.graft_id === check.graft_id)
    return graft?.reference ?? (check.graft_id === null ? 'all together' : 'another graft')
  }
  const head = ['Looked at', 'Lot', 'Growing', 'Callused', 'Failed', 'Shoot', 'By']
  return (
    <Table caption="Take checks" head={head}>
      {checks.map((check) => (
        <tr>
          <td>
            <a href={`/journal/${check.entry_id}`}>{shownTime(check.checked_at, zone)}</a>
          </td>
          <td>{lot(check)}</td>
          <td class="number">{check.growing}</td>
          <td class="number">{check.callused}</td>
          <td class="number">{check.failed}</td>
          <td class="number">
            {check.shoot_length_mm === null ? '' : `${check.shoot_length_mm} mm`}
          </td>
          <td>{names.get(check.person_id) ?? 'not known'}</td>
        </tr>
      ))}
    </Table>
  )
}

function Skips({ life, names, zone }: Part) {
  const { skips } = life.life
  if (skips.length === 0) return null
  return (
    <Table caption="Passed over" head={['When', 'Why', 'By']}>
      {skips.map((skip) => (
        <tr>
          <td>
            <a href={`/journal/${skip.entry_id}`}>{shownTime(skip.occurred_at, zone)}</a>
          </td>
          <td>{skip.reason}</td>
          <td>{names.get(skip.person_id) ?? 'not known'}</td>
        </tr>
      ))}
    </Table>
  )
}

function idsNamed(vine: VineReading): string[] {
  return vine.lives.flatMap(({ life, stack }) => [
    ...[...life.grafts, ...life.checks, ...life.skips].map((one) => one.person_id),
    ...stack.layers.flatMap(({ varietyId, origin }) => [
      varietyId,
      ...(origin.kind === 'lot' ? [origin.lotId] : []),
      ...(origin.kind === 'source' ? [origin.sourceId] : []),
    ]),
  ])
}
