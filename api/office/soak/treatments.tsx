// Treatments: the list, and one of them judged against the published protocol of each purpose.
import type { Context } from 'hono'
import { heatCares, judgeHotWater } from '#trade/hot-water.ts'
import type { HotWaterOutcome, HotWaterResult } from '#trade/hot-water.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readTreatments } from '../../store/treatments.ts'
import type { Treatment } from '../../store/treatments.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { runWords } from '../lots/treatment-words.ts'
import { found, pathId } from '../path-id.ts'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { HowReckoned, TreatmentCare } from './treatment-care.tsx'

/** The latest treatments. */
export async function showTreatments(c: Context<Env>) {
  const { db } = c.get('services')
  const [treatments, zone] = [await readTreatments(db), await nurseryTimeZone(db)]
  return show(
    c,
    <Page
      c={c}
      title="Treatments"
      lead="Hot water and dips, the latest first."
      actions={
        <a class="button main" href="/soak/treat">
          Record a treatment
        </a>
      }
    >
      {treatments.length === 0 ? (
        <p class="note">No treatment is recorded.</p>
      ) : (
        <TreatmentTable treatments={treatments} zone={zone} />
      )}
      <TreatmentCare />
    </Page>,
  )
}

/** Treatments in a table; also a part of a lot's page. */
export function TreatmentTable(props: { treatments: Treatment[]; zone: string }) {
  return (
    <Table caption="Treatments, the latest first" head={['When', 'What', 'Wood', 'Against']}>
      {props.treatments.map((treatment) => (
        <tr>
          <td class="whole">
            <a href={`/soak/treatments/${treatment.entryId}`}>
              {shownTime(treatment.treatedAt, props.zone)}
            </a>
          </td>
          <td>{treatmentWords(treatment)}</td>
          <td>{treatment.wood.map(woodWords).join('; ')}</td>
          <td>
            {treatment.treatment !== 'hot water'
              ? ''
              : treatment.purposes
                  .map((purpose) => {
                    const { outcome } = judgeHotWater(treatment.run, purpose)
                    return `${purpose}: ${outcomeWords[outcome]}`
                  })
                  .join('; ')}
          </td>
        </tr>
      ))}
    </Table>
  )
}

/** What each outcome is called; nothing here says cured. */
const outcomeWords: Record<HotWaterOutcome, string> = {
  met: 'protocol met',
  reduced: 'reduced, may still be there',
  'not met': 'protocol not met',
  'no effect': 'heat does nothing against it',
}

/** What was done, in one line. */
export function treatmentWords(treatment: Treatment): string {
  if (treatment.treatment === 'hot water') return `hot water, ${runWords(treatment.run)}`
  const { product, concentration, minutes } = treatment
  const parts = [
    `${treatment.treatment}: ${product}`,
    ...(concentration === null ? [] : [concentration]),
    ...(minutes === null ? [] : [`${minutes} min`]),
  ]
  return parts.join(', ')
}

function woodWords({ reference, bundleNumber, unit, count }: Treatment['wood'][number]): string {
  const bundle = bundleNumber === null ? 'loose' : `bundle ${bundleNumber}`
  return `${reference ?? 'a lot not registered here'}, ${bundle}, ${count} ${unit}s`
}

/** One treatment whole. */
export async function showTreatment(c: Context<Env>) {
  const { db } = c.get('services')
  const entryId = pathId(c, 'entryId', 'treatment')
  const [treatment] = await readTreatments(db, { entryId })
  const one = found(treatment ?? null, 'treatment')
  const zone = await nurseryTimeZone(db)
  return show(
    c,
    <Page c={c} title="A treatment" lead={`${treatmentWords(one)}.`}>
      <Saved c={c} />
      <dl class="facts">
        <dt>When</dt>
        <dd>{shownTime(one.treatedAt, zone)}</dd>
        <dt>By</dt>
        <dd>{one.person ?? 'somebody not registered here'}</dd>
        <dt>Where</dt>
        <dd>{one.where ?? 'not recorded'}</dd>
        {one.note === '' ? null : <dt>Note</dt>}
        {one.note === '' ? null : <dd>{one.note}</dd>}
      </dl>
      {one.treatment === 'hot water' ? <Outcomes treatment={one} /> : null}
      <h2>Wood treated</h2>
      <ul>
        {one.wood.map((wood) => (
          <li>
            <a href={`/lots/${wood.lotId}`}>{woodWords(wood)}</a>
          </li>
        ))}
      </ul>
      <TreatmentCare />
      {one.treatment === 'hot water' ? <Curve treatment={one} /> : null}
    </Page>,
  )
}

type HotWater = Extract<Treatment, { treatment: 'hot water' }>

function Outcomes({ treatment: { run, purposes } }: { treatment: HotWater }) {
  const results = purposes.map((purpose) => judgeHotWater(run, purpose))
  return (
    <>
      <Table
        caption="By the published protocol of each purpose"
        head={['Against', 'Outcome', 'Asked for', 'Held', 'What it means', 'Source']}
      >
        {results.map((result) => (
          <tr>
            <td>{result.purpose}</td>
            <td>
              <strong>{outcomeWords[result.outcome]}</strong>
            </td>
            <td class="whole">{stepsWords(result)}</td>
            <td class="whole">{heldWords(result)}</td>
            <td>
              {result.protocol.meaning} {result.protocol.disagreement ?? ''}
            </td>
            <td>{result.protocol.source}</td>
          </tr>
        ))}
      </Table>
      <HowReckoned />
      {heatCares(run).map((care) => (
        <p class="care">{careWords[care]}</p>
      ))}
    </>
  )
}

const stepsWords = ({ protocol }: HotWaterResult): string =>
  protocol.steps.length === 0
    ? 'nothing works'
    : protocol.steps.map(({ tempC, minutes }) => `${tempC} °C, ${minutes} min`).join(' or ')

const heldWords = ({ step, heldMinutes }: HotWaterResult): string =>
  step === null ? '' : `${Number(heldMinutes.toFixed(1))} min at ${step.tempC} °C`

const careWords: Record<ReturnType<typeof heatCares>[number], string> = {
  'buds may be killed':
    '53 °C for 30 minutes killed the buds in a published trial: force a sample of buds before use.',
  'harm varies by variety':
    'More than 60 minutes at 50 °C harmed some varieties and not others: force a sample of buds.',
  'fan and drain at once':
    'Drain and air the wood now, do not seal it wet in plastic: hot wood suffocates (Charles ' +
    'Sturt University). It keeps less long than untreated wood.',
}

function Curve({ treatment: { run } }: { treatment: HotWater }) {
  if (run.by !== 'curve') return null
  return (
    <details>
      <summary>The {run.readings.length} readings</summary>
      <Table caption="The water’s temperature" head={['Minute', '°C']} numbers={[0, 1]}>
        {run.readings.map(({ minute, tempC }) => (
          <tr>
            <td class="number">{minute}</td>
            <td class="number">{tempC}</td>
          </tr>
        ))}
      </Table>
    </details>
  )
}
