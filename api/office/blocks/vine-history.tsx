// What was done to one vine of a position: its layers, its grafts, checks and skips.
import type { LifeReading } from '../../grafting/read.ts'
import type { CheckRow, GraftRow } from '../../grafting/row-facts.ts'
import { Table } from '../layout.tsx'
import { shownDay, shownTime } from '../times.ts'
import { StackDrawing } from './vine-stack-drawing.tsx'

type Names = ReadonlyMap<string, string>

/** The vine's layers, its grafts, checks and skips. */
export function Life(props: {
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
          <td>
            {graft.removed_at === null ? (
              <a
                href={`/blocks/grafts/${graft.graft_id}/removed`}
                aria-label={`Graft of ${graft.reference ?? 'this lot'} is removed`}
              >
                Removed
              </a>
            ) : null}
          </td>
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
