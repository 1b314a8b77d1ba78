// A lot's checks on its page: shares with both intervals, moisture by both bases.
import { exactInterval, sampleForClaim } from '#trade/exact-interval.ts'
import { lossBetween } from '#trade/moisture.ts'
import type { Policies } from '#trade/policies.ts'
import { wilsonInterval } from '#trade/take.ts'
import type { ShareInterval } from '#trade/take.ts'
import type { MoistureLine, ViabilityLine } from '../../lots/check-lines.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

type Props = {
  lotId: string
  viability: ViabilityLine[]
  moisture: MoistureLine[]
  policies: Policies
  zone: string
}

/** The section; it also leads to the forms. */
export function LotChecks(props: Props) {
  const { lotId, viability, moisture } = props
  const none = viability.length === 0 && moisture.length === 0
  return (
    <section aria-labelledby="checks">
      <h2 id="checks">Checks</h2>
      {none ? <p class="note">Nobody has looked at buds or moisture of this lot yet.</p> : null}
      {viability.length === 0 ? null : <ViabilityTable {...props} />}
      {moisture.length === 0 ? null : <MoistureTable {...props} />}
      <p class="actions">
        <a class="button" href={`/lots/${lotId}/check`}>
          Check buds
        </a>
        <a class="button" href={`/lots/${lotId}/moisture`}>
          Measure moisture
        </a>
      </p>
    </section>
  )
}

function ViabilityTable({ viability, policies, zone }: Props) {
  const least = policies.viabilityLeastShare.value
  const head = ['When', 'How', 'Alive', 'Share', '95 %, exact', '95 %, Wilson', 'What it shows']
  return (
    <>
      <Table caption="Buds and cambium, the latest first" head={head}>
        {viability.map((line) => (
          <tr>
            <td class="whole">{shownTime(line.checkedAt, zone)}</td>
            <td>{howWords(line)}</td>
            <td class="whole">
              {line.live} of {line.sampled}
            </td>
            <td class="whole">{percent(line.live / line.sampled)}</td>
            <td class="whole">{intervalWords(exactInterval(line.live, line.sampled))}</td>
            <td class="whole">{intervalWords(wilsonInterval(line.live, line.sampled))}</td>
            <td>{shownWords(line, least)}</td>
          </tr>
        ))}
      </Table>
      <p class="hint">
        Exact: Clopper and Pearson 1934, never too narrow. Wilson 1927: right on average. Both take
        the buds for independent; buds of one stick are not quite. At least {percent(least)} are
        asked for ({policies.viabilityLeastShare.source}).
      </p>
    </>
  )
}

function howWords({ method, forcedDays, bundleNumber }: ViabilityLine): string {
  const days = forcedDays === null ? '' : `, ${forcedDays} days`
  return `${method}${days}${bundleNumber === null ? '' : `, bundle ${bundleNumber}`}`
}

/** What the exact interval says of the share asked for, and how many buds would be enough. */
function shownWords({ live, sampled, method }: ViabilityLine, least: number): string {
  const { low, high } = exactInterval(live, sampled)
  const what = method === 'cambium scratch' ? 'sticks' : 'buds'
  if (low >= least) return `at least ${percent(least)} alive`
  if (high < least) return `fewer than ${percent(least)} alive`
  const enough = sampleForClaim(live / sampled, least)
  if (enough === null) return `too few to tell; more ${what} at this share would not show it`
  return `too few to show ${percent(least)}; ${enough} ${what} at this share would`
}

function MoistureTable({ moisture, policies, zone }: Props) {
  const head = ['When', 'How', 'Of fresh weight', 'Of dry weight', 'Lost since cutting']
  return (
    <>
      <Table caption="Moisture, the latest first" head={head}>
        {moisture.map(({ record, moisture: water, checkedAt, bundleNumber }) => (
          <tr>
            <td class="whole">{shownTime(checkedAt, zone)}</td>
            <td>
              {measuredWords(record)}
              {bundleNumber === null ? '' : `, bundle ${bundleNumber}`}
            </td>
            <td class="whole">{water === null ? 'not known' : percent(water.ofFresh)}</td>
            <td class="whole">
              {water === null ? 'not known' : `${water.ofDry.toFixed(2)} g for 1 g`}
            </td>
            <td>{lostWords(record)}</td>
          </tr>
        ))}
      </Table>
      <p class="hint">
        At least {percent(policies.moistureLeastShare.value)} of fresh weight are asked for (
        {policies.moistureLeastShare.source}), and at most{' '}
        {percent(policies.waterLossMaxShare.value)} of the water may be lost.{' '}
        {policies.moistureLeastShare.disagreement}
      </p>
    </>
  )
}

function measuredWords(record: MoistureLine['record']): string {
  switch (record.by) {
    case 'oven':
      return `oven, ${record.freshGrams} g fresh, ${record.dryGrams} g dry`
    case 'meter':
      return `meter, ${record.percent} % of ${record.basis}`
    case 'weighing again':
      return `weighed again, ${record.atCutGrams} g at cutting, ${record.nowGrams} g now`
  }
}

function lostWords(record: MoistureLine['record']): string {
  if (record.by !== 'weighing again') return ''
  const { ofWeight } = lossBetween(record.atCutGrams, record.nowGrams, null)
  return `${percent(ofWeight)} of its weight, all of it water`
}

/** Like `83.0 to 95.6 %`. */
function intervalWords({ low, high }: ShareInterval): string {
  return `${(low * 100).toFixed(1)} to ${percent(high)}`
}

const percent = (share: number) => `${(share * 100).toFixed(1)} %`
