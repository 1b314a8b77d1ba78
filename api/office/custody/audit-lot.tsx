// The parts of one lot's audit: gaps, overlaps, handovers, and the balance of its buds.
import type { AuditLimits, LotAudit } from '../../custody/audit.ts'
import { handoverWords, lackWords } from '../../custody/audit-words.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

type NameOf = (id: string) => string | undefined
type Part = { lot: LotAudit; zone: string }

/** All of them. */
export function LotAuditParts(props: Part & { limits: AuditLimits; nameOf: NameOf }) {
  const { lot, zone, limits, nameOf } = props
  return (
    <>
      <Balance lot={lot} limits={limits} />
      <Gaps lot={lot} zone={zone} />
      <Overlaps lot={lot} zone={zone} nameOf={nameOf} />
      <Handovers lot={lot} zone={zone} nameOf={nameOf} limits={limits} />
    </>
  )
}

function Balance({ lot, limits }: { lot: LotAudit; limits: AuditLimits }) {
  const { balance } = lot
  const rows: [string, number][] = [
    ['Came in', balance.cameIn],
    ['Set on vines', balance.set],
    ['At hand', balance.left],
    ['Thrown away', balance.discarded],
    ['Used up by checks', balance.checked],
    ['To other lots', balance.toLots],
    ['Given out more than there was', balance.short],
  ]
  return (
    <>
      <Table caption="Balance, sticks counted by their buds" head={['What', 'Buds']}>
        {rows.map(([what, buds]) => (
          <tr>
            <th scope="row">{what}</th>
            <td class="number">{buds}</td>
          </tr>
        ))}
      </Table>
      <p class={lot.isWithinTolerance ? 'note' : 'care'}>
        By the books: {lackWords(lot)}; the nursery’s tolerance is {limits.toleranceShare * 100} %
        of what came in.
      </p>
    </>
  )
}

function Gaps({ lot: { gaps }, zone }: Part) {
  if (gaps.length === 0) return <p>No step came from, or went to, a place that nobody told.</p>
  return (
    <Table caption="Gaps" head={['When', 'Buds', 'What is not told', 'Entry']}>
      {gaps.map((gap) => (
        <tr>
          <td class="whole">{shownTime(new Date(gap.atMs), zone)}</td>
          <td class="number">{gap.budEquivalents}</td>
          <td>{gap.how}</td>
          <td>
            <a href={`/journal/${gap.entryId}`}>entry</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

function Overlaps({ lot: { overlaps }, zone, nameOf }: Part & { nameOf: NameOf }) {
  if (overlaps.length === 0) return <p>At no time do the records have wood in two places.</p>
  return (
    <Table
      caption="In two places at once: given out here before it had come in"
      head={['Given out by', 'From', 'Until', 'Buds']}
    >
      {overlaps.map((overlap) => (
        <tr>
          <td>
            {overlap.accountKind} {nameOf(overlap.accountId) ?? 'not registered here'}
          </td>
          <td class="whole">{shownTime(new Date(overlap.fromMs), zone)}</td>
          <td class="whole">
            {overlap.untilMs === null ? 'to this day' : shownTime(new Date(overlap.untilMs), zone)}
          </td>
          <td class="number">{overlap.budEquivalents}</td>
        </tr>
      ))}
    </Table>
  )
}

function Handovers(props: Part & { nameOf: NameOf; limits: AuditLimits }) {
  const { lot, zone, nameOf, limits } = props
  if (lot.handovers.length === 0) return <p class="note">The lot was never handed over.</p>
  const name = (id: string) => nameOf(id) ?? 'not registered here'
  return (
    <>
      <Table caption="Handovers" head={['When', 'By', 'To', 'Given', 'The other side says']}>
        {lot.handovers.map((line) => (
          <tr>
            <td class="whole">
              <a href={`/journal/${line.entryId}`}>{shownTime(line.at, zone)}</a>
            </td>
            <td>{name(line.handedBy)}</td>
            <td>{name(line.toHolderId)}</td>
            <td class="whole">
              {line.count} {line.unit}
              {line.count === 1 ? '' : 's'}
            </td>
            <td>{handoverWords(line, { name, time: (at) => shownTime(at, zone) })}</td>
          </tr>
        ))}
      </Table>
      <p class="note">The other side is to say so within {limits.acceptHours} hours.</p>
    </>
  )
}
