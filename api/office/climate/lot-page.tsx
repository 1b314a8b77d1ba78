// A lot's storage: its temperature, excursions, age, stays and soaks, as a picture and as numbers.
import type { Context } from 'hono'
import { meanKineticOf, meanOf } from '#trade/climate-sums.ts'
import { MS_PER_MINUTE } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import type { Policies } from '#trade/policies.ts'
import { forecastStorage } from '#trade/storage-forecast.ts'
import { thermalAgeDays, unmeasuredDays } from '#trade/thermal-facts.ts'
import type { ThermalFacts } from '#trade/thermal-facts.ts'
import { readNames } from '../../journal/names.ts'
import { reasonsInWords } from '../../lots/judge-lots.ts'
import { readLotClimate } from '../../lots/lot-climate.ts'
import type { LotClimate } from '../../lots/lot-climate.ts'
import { readLotFacts } from '../../lots/lot-facts.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { readTreatments } from '../../store/treatments.ts'
import type { Treatment } from '../../store/treatments.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { TreatmentTable, treatmentWords } from '../soak/treatments.tsx'
import { shownTime } from '../times.ts'
import { limitText } from './board.tsx'
import { ClimateChart } from './chart.tsx'
import { dayCount, degrees, hourCount } from './words.ts'

/** Shows the lot that the address names. */
export async function showLotStorage(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const lotId = c.req.param('lotId') ?? ''
  const lot = (await readLotFacts(db, [lotId], now)).get(lotId)
  if (lot === undefined || !lot.known) {
    return refuse('not_found', 'there is no such lot', { status: 404 })
  }
  const [zone, { policies }, climate, treatments] = await Promise.all([
    nurseryTimeZone(db),
    readPolicies(db, now),
    readLotClimate(db, lot, now),
    readTreatments(db, { lotId }),
  ])
  const names = await readNames(db, [lotId, ...climate.lain.map(({ placeId }) => placeId)])
  const judgement = judge(lot, policies, now.getTime())
  const reasons = (await reasonsInWords(db, judgement)).filter(({ code }) =>
    code.startsWith('storage.'),
  )
  const reference = names.get(lotId) ?? lotId
  const forecast = forecastStorage(lot, policies, now.getTime())
  const assumed = forecast?.assumedTempC ?? null
  return show(
    c,
    <Page
      c={c}
      title={`Storage of lot ${reference}`}
      lead="Every place it lay in, and how warm it was there by the readings."
      actions={<Actions lotId={lotId} />}
    >
      <p>
        <VerdictMark verdict={judgement.verdict} /> Caution from{' '}
        {limitText(forecast?.caution ?? null, now, zone)}; stop from{' '}
        {limitText(forecast?.stop ?? null, now, zone)}
        {assumed === null
          ? '. No reading tells of where it is now: calendar days count.'
          : `, if its room stays at ${degrees(assumed)}.`}
      </p>
      <ul class="reasons">
        {reasons.map(({ sentence, todo }) => (
          <li>
            {sentence} <span class="quiet">{todo}</span>
          </li>
        ))}
      </ul>
      <ClimateChart {...chartOf({ climate, policies, names, treatments, zone, reference })} />
      <Figures thermal={lot.thermal ?? null} now={now} policies={policies} />
      <ExcursionTable climate={climate} names={names} zone={zone} />
      <StayTable climate={climate} names={names} zone={zone} />
      {treatments.length === 0 ? null : <TreatmentTable treatments={treatments} zone={zone} />}
    </Page>,
  )
}

function Actions({ lotId }: { lotId: string }) {
  return (
    <>
      <a class="button" href={`/lots/${lotId}`}>
        The lot
      </a>
      <a class="button" href="/store/board">
        Board
      </a>
    </>
  )
}

type Names = Map<string, string>

function chartOf(of: {
  climate: LotClimate
  policies: Policies
  names: Names
  treatments: readonly Treatment[]
  zone: string
  reference: string
}) {
  const { climate, policies, names, treatments, zone, reference } = of
  return {
    title: `Storage of lot ${reference}`,
    fromAt: climate.fromAt,
    toAt: climate.toAt,
    zone,
    maxGapMs: policies.readingGapMinutes.value * MS_PER_MINUTE,
    lines: climate.pieces,
    limits: [
      { value: policies.wakingLimitC.value, name: 'waking' },
      { value: policies.storageSetTempC.value, name: 'set' },
      { value: policies.frostLimitC.value, name: 'frost' },
    ],
    excursions: climate.excursions,
    age: climate.age,
    ageLimits: [
      { value: policies.storageCautionDays.value, name: 'caution' },
      { value: policies.storageStopDays.value, name: 'stop' },
    ],
    bars: climate.lain.map(({ placeId, inWater, beganAt, endedAt }) => ({
      from: beganAt,
      to: endedAt ?? climate.toAt,
      name: `${inWater ? 'in water: ' : ''}${names.get(placeId) ?? 'unknown place'}`,
      wet: inWater,
    })),
    marks: treatments
      .map((treatment) => ({ at: treatment.treatedAt.getTime(), name: treatmentWords(treatment) }))
      .reverse(),
  }
}

function Figures(props: { thermal: ThermalFacts | null; now: Date; policies: Policies }) {
  const { thermal, now } = props
  if (thermal === null) {
    return (
      <p class="note">
        No reading tells how warm it was where it lay. Its age is counted by the calendar.
      </p>
    )
  }
  const { sums, rules } = thermal
  const measured = sums.measuredHours > 0
  const lines: [string, string][] = [
    [
      'Aged like',
      `${dayCount(thermalAgeDays(thermal, now.getTime()))} days at ${degrees(rules.setTempC)}`,
    ],
    ['Time with readings', `${dayCount(sums.measuredHours / 24)} days`],
    [
      'Time without readings, counted by the calendar',
      `${dayCount(unmeasuredDays(thermal, now.getTime()))} days`,
    ],
    ['Mean temperature', degrees(meanOf(sums))],
    ['Mean kinetic temperature', degrees(meanKineticOf(sums))],
    [
      'Coldest and warmest reading',
      `${degrees(thermal.lowestTempC)}, ${degrees(thermal.highestTempC)}`,
    ],
    [`Above ${degrees(rules.wakingLimitC)} (waking)`, hourCount(sums.aboveWakingHours)],
    [`Below ${degrees(rules.frostLimitC)} (frost)`, hourCount(sums.belowFrostHours)],
    [`Below ${degrees(rules.freezeLimitC)} (frozen)`, hourCount(sums.belowFreezeHours)],
    [`Degree-days above ${degrees(rules.swellBaseC)}`, sums.swellDegreeDays.toFixed(1)],
    ['Chilling, 0 to 10 °C', hourCount(sums.chillingHours)],
    [
      'Drying: vapour pressure deficit over time',
      sums.humidHours > 0
        ? `${sums.deficitHours.toFixed(1)} kPa h in ${hourCount(sums.humidHours)}`
        : 'no humidity was read',
    ],
  ]
  return (
    <Table caption="What the readings add up to" head={['Figure', 'Value']}>
      {(measured ? lines : lines.slice(0, 3)).map(([name, value]) => (
        <tr>
          <th scope="row">{name}</th>
          <td>{value}</td>
        </tr>
      ))}
    </Table>
  )
}

type Part = { climate: LotClimate; names: Names; zone: string }

function ExcursionTable({ climate, names, zone }: Part) {
  if (climate.excursions.length === 0) return null
  return (
    <Table
      caption="Excursions, numbered as in the picture"
      head={['Nr', 'What', 'Place', 'Began', 'Ended', 'Lasted', 'Peak']}
      numbers={[0, 5, 6]}
    >
      {climate.excursions.map(({ kind, placeId, beganAt, endedAt, peakTempC }, nr) => (
        <tr>
          <td class="number">{nr + 1}</td>
          <td>{kind === 'warm' ? 'too warm' : 'frost'}</td>
          <td>{names.get(placeId) ?? ''}</td>
          <td>{shownTime(new Date(beganAt), zone)}</td>
          <td>{shownTime(new Date(endedAt), zone)}</td>
          <td class="number">{hourCount((endedAt - beganAt) / 3_600_000)}</td>
          <td class="number">{degrees(peakTempC)}</td>
        </tr>
      ))}
    </Table>
  )
}

function StayTable({ climate, names, zone }: Part) {
  return (
    <Table caption="Stays and soaks" head={['Place', 'How', 'From', 'Until']}>
      {climate.lain.map(({ placeId, inWater, beganAt, endedAt }) => (
        <tr>
          <th scope="row">{names.get(placeId) ?? 'a place nobody registered'}</th>
          <td>{inWater ? 'in water' : 'stored'}</td>
          <td>{shownTime(new Date(beganAt), zone)}</td>
          <td>{endedAt === null ? 'still there' : shownTime(new Date(endedAt), zone)}</td>
        </tr>
      ))}
    </Table>
  )
}
