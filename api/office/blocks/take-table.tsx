// Take of a season by row, with the vines and buds that nobody looked at shown apart.
import type { Policy } from '#trade/policies.ts'
import { takeAgainst, wilsonInterval } from '#trade/take.ts'
import type { Take, TakeCount } from '#trade/take.ts'
import { Table } from '../layout.tsx'

/** Take of one row, or of several together. */
export type NamedTake = { name: string; href: string | null; take: Take }

/** One line for each row with grafts, and the sum; nothing when no vine was grafted. */
export function TakeTable(props: {
  season: number
  rows: NamedTake[]
  all: Take
  wanted: Policy<'takeInsufficientShare'>
}) {
  const grafted = props.rows.filter(({ take }) => setCount(take.vines) > 0)
  if (grafted.length === 0) return null
  const sum = { name: 'All rows', href: null, take: props.all }
  return (
    <>
      <Table
        caption={`Take of ${props.season}: vines, and buds in brackets`}
        head={[
          'Row',
          'Grafted',
          'Looked at',
          'Growing',
          'Callused',
          'Failed',
          'Not looked at',
          takeHead,
        ]}
      >
        {[...grafted, ...(grafted.length > 1 ? [sum] : [])].map((line) => (
          <TakeLine line={line} />
        ))}
      </Table>
      <TakeWords take={props.all} wanted={props.wanted} />
    </>
  )
}

const takeHead = 'Take of those looked at'

function TakeLine({ line: { name, href, take } }: { line: NamedTake }) {
  const { vines, buds } = take
  const both = (of: (count: TakeCount) => number) => `${of(vines)} (${of(buds)})`
  return (
    <tr>
      <th scope="row">{href === null ? name : <a href={href}>{name}</a>}</th>
      <td class="number">{both(setCount)}</td>
      <td class="number">{both((count) => count.checked)}</td>
      <td class="number">{both((count) => count.growing)}</td>
      <td class="number">{both((count) => count.callused)}</td>
      <td class="number">{both((count) => count.failed)}</td>
      <td class="number">{both((count) => count.notChecked)}</td>
      <td class="number">{shareWords(vines)}</td>
    </tr>
  )
}

/** What the numbers say, and how sure they are. */
export function TakeWords(props: { take: Take; wanted: Policy<'takeInsufficientShare'> }) {
  const { vines } = props.take
  const { value: wanted, source } = props.wanted
  if (setCount(vines) === 0) return null
  if (vines.checked === 0) {
    return <p class="note">No vine has been looked at yet, so there is no take to tell.</p>
  }
  const verdict = takeAgainst(vines, wanted)
  const { low, high } = wilsonInterval(vines.growing, vines.checked)
  return (
    <p class={verdict === 'insufficient' ? 'care' : 'note'}>
      {vines.growing} of {vines.checked} vines looked at grow: {percent(vines.share)}. Taken as a
      sample this means {percent(low)} to {percent(high)} (95 %, Wilson 1927), so take is{' '}
      {verdictWords[verdict]} {percent(wanted)}, below which it is called insufficient ({source}).
      {vines.notChecked === 0 ? '' : possibleWords(vines)}
    </p>
  )
}

const verdictWords = {
  sufficient: 'above',
  insufficient: 'below',
  undecided: 'not surely above or below',
  unknown: 'not known against',
} as const

function possibleWords({ notChecked, possible }: TakeCount): string {
  if (possible === null) return ''
  return (
    ` ${notChecked} grafted ${notChecked === 1 ? 'vine has' : 'vines have'} not been looked at: ` +
    `with them take of all can be anything from ${percent(possible.low)} to ` +
    `${percent(possible.high)}.`
  )
}

function shareWords(count: TakeCount): string {
  return count.share === null ? '–' : percent(count.share)
}

/** A share as percent with one decimal, like `96.5 %`. */
export function percent(share: number | null): string {
  return share === null ? '–' : `${(share * 100).toFixed(1)} %`
}

function setCount(count: TakeCount): number {
  return count.checked + count.notChecked
}
