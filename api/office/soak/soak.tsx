// Soak: what is in water now and for how long, what was drained, and whose hours are asked for.
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { lengthInEnglish } from '#trade/judge-words.en.ts'
import type { Policies } from '#trade/policies.ts'
import type { Reason } from '#trade/reasons.ts'
import { judgeLots, reasonsInWords } from '../../lots/judge-lots.ts'
import type { ReasonInWords } from '../../lots/judge-lots.ts'
import { piecesText } from '../../lots/pieces.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readStandingBaths } from '../../store/baths.ts'
import type { Bath } from '../../store/baths.ts'
import { readPositions } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { DRAINED_DAYS, readDrained } from '../../store/soak-times.ts'
import type { Drained } from '../../store/soak-times.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { PolicySources } from '../lots/lot-judgement.tsx'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'

type Shown = {
  now: Date
  zone: string
  verdicts: Map<string, Judgement>
  words: Map<string, ReasonInWords[]>
}

/** Shows baths, the wood in them, and what was drained. */
export async function showSoak(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const zone = await nurseryTimeZone(db)
  const [baths, { positions }, drained, { policies }] = await Promise.all([
    readStandingBaths(db),
    readPositions(db, zone, { kinds: ['bath'] }),
    readDrained(db, now),
    readPolicies(db, now),
  ])
  const verdicts = await judgeLots(
    db,
    [...positions.map(({ lotId }) => lotId), ...drained.map(({ lotId }) => lotId)],
    now,
  )
  const words = new Map<string, ReasonInWords[]>()
  for (const [lotId, judgement] of verdicts) {
    const reasons = judgement.reasons.filter(isOfSoaking)
    words.set(lotId, await reasonsInWords(db, { ...judgement, reasons }))
  }
  const shown = { now, zone, verdicts, words }
  return show(
    c,
    <Page
      c={c}
      title="Soak"
      lead="Baths, the wood in them and for how long, and the wood drained since."
      actions={
        <>
          <a class="button main" href="/soak/fill">
            Fill a bath
          </a>
          <a class="button" href="/soak/tonight">
            Tonight’s list
          </a>
          <a class="button" href="/soak/treatments">
            Treatments
          </a>
          <a class="button" href="/soak/weather">
            Weather
          </a>
        </>
      }
    >
      <Saved c={c} />
      {baths.length === 0 ? <p class="note">No bath stands filled.</p> : null}
      {baths.map((bath) => (
        <BathSection
          {...shown}
          bath={bath}
          positions={positions.filter(({ account }) => account.id === bath.bathId)}
        />
      ))}
      <Stray {...shown} positions={positions} baths={baths} />
      <DrainedTable {...shown} drained={drained} />
      <AskedFor policies={policies} />
      <SoakCare />
    </Page>,
  )
}

const isOfSoaking = (reason: Reason) => reason.code.startsWith('soak.')

function BathSection(props: Shown & { bath: Bath; positions: WoodPosition[] }) {
  const { bath, zone, now } = props
  const heading = `bath-${bath.bathId}`
  return (
    <section aria-labelledby={heading}>
      <h2 id={heading}>
        <a href={`/soak/${bath.bathId}`}>{bath.tankName}</a>
      </h2>
      <p>
        Filled {shownTime(bath.filledAt, zone)}, {hoursSince(bath.filledAt, now)} ago:{' '}
        {bathWords(bath)}.
      </p>
      <BathWood {...props} />
      <BathActions bath={bath} />
    </section>
  )
}

/** What can be done with a bath that stands filled. */
export function BathActions({ bath }: { bath: Bath }) {
  if (bath.emptiedAt !== null) return null
  return (
    <p class="actions">
      <a class="button" href={`/soak/${bath.bathId}/put-in`}>
        Put wood in<span class="unseen"> ({bath.tankName})</span>
      </a>
      <a class="button" href={`/soak/${bath.bathId}/take-out`}>
        Take wood out<span class="unseen"> ({bath.tankName})</span>
      </a>
      <a class="button" href={`/soak/${bath.bathId}/empty`}>
        Empty the bath<span class="unseen"> ({bath.tankName})</span>
      </a>
    </p>
  )
}

/** Like `well water, 11.5 °C, 400 litres, with chlorine dioxide`. */
export function bathWords(bath: Bath): string {
  return [
    `water from ${bath.water}`,
    ...(bath.waterTempC === null ? [] : [`${bath.waterTempC} °C`]),
    ...(bath.litres === null ? [] : [`${bath.litres} litres`]),
    bath.disinfectant === null ? 'no disinfectant' : `with ${bath.disinfectant}`,
  ].join(', ')
}

/** The wood in one bath with its hours. */
export function BathWood(props: Shown & { bath: Bath; positions: WoodPosition[] }) {
  if (props.positions.length === 0) return <p class="note">No wood is recorded in it.</p>
  const head = ['Lot', 'Bundle', 'Variety', 'There', 'In water', 'Verdict', 'Soaking']
  return (
    <Table caption={`Wood in ${props.bath.tankName}`} head={head}>
      {props.positions.map((position) => (
        <tr>
          <td class="whole">
            <a href={`/lots/${position.lotId}`}>{position.reference}</a>
          </td>
          <td>{position.bundleNumber === null ? 'loose' : position.bundleNumber}</td>
          <td>{position.variety ?? 'unknown'}</td>
          <td class="whole">{piecesText(position.material, position)}</td>
          <td>
            {hoursSince(position.firstAt, props.now)}
            <span class="quiet">, since {shownTime(position.firstAt, props.zone)}</span>
          </td>
          <JudgedCells {...props} lotId={position.lotId} />
        </tr>
      ))}
    </Table>
  )
}

function JudgedCells({ lotId, verdicts, words }: Shown & { lotId: string }) {
  const verdict = verdicts.get(lotId)
  return (
    <>
      <td>{verdict === undefined ? '' : <VerdictMark verdict={verdict.verdict} />}</td>
      <td>{(words.get(lotId) ?? []).map(({ sentence }) => sentence).join(' ')}</td>
    </>
  )
}

/** Wood recorded in a bath that has been emptied: the records disagree. */
function Stray(props: Shown & { positions: WoodPosition[]; baths: Bath[] }) {
  const standing = new Set(props.baths.map(({ bathId }) => bathId))
  const stray = props.positions.filter(({ account }) => !standing.has(account.id))
  if (stray.length === 0) return null
  return (
    <section aria-labelledby="stray">
      <h2 id="stray">Recorded in a bath that is empty</h2>
      <p class="care">
        This wood was never recorded as taken out. Find it, then take it out on its lot’s page.
      </p>
      <ul>
        {stray.map((position) => (
          <li>
            <a href={`/lots/${position.lotId}/move`}>{position.reference}</a>,{' '}
            {piecesText(position.material, position)}, {position.accountName}
          </li>
        ))}
      </ul>
    </section>
  )
}

function DrainedTable(props: Shown & { drained: Drained[] }) {
  return (
    <section aria-labelledby="drained">
      <h2 id="drained">Drained</h2>
      {props.drained.length === 0 ? (
        <p class="note">
          Nothing that is still at hand was drained in the last {DRAINED_DAYS} days.
        </p>
      ) : (
        <Table
          caption={`Out of the water in the last ${DRAINED_DAYS} days, the longest out first`}
          head={['Lot', 'Variety', 'Out of', 'Out for', 'Verdict', 'Soaking']}
        >
          {props.drained.map((lot) => (
            <tr>
              <td class="whole">
                <a href={`/lots/${lot.lotId}`}>{lot.reference}</a>
              </td>
              <td>{lot.variety ?? 'unknown'}</td>
              <td>
                <a href={`/soak/${lot.bathId}`}>{lot.tankName}</a>
              </td>
              <td>
                {hoursSince(lot.outAt, props.now)}
                <span class="quiet">, since {shownTime(lot.outAt, props.zone)}</span>
              </td>
              <JudgedCells {...props} lotId={lot.lotId} />
            </tr>
          ))}
        </Table>
      )}
    </section>
  )
}

function hoursSince(from: Date, now: Date): string {
  return lengthInEnglish(Math.max(0, Math.floor((now.getTime() - from.getTime()) / 60_000)))
}

/** The hours asked for, and the sources that say otherwise. */
function AskedFor({ policies }: { policies: Policies }) {
  const { soakMinHours, soakMaxHours } = policies
  return (
    <section aria-labelledby="asked">
      <h2 id="asked">Hours asked for</h2>
      <p>
        {soakMinHours.value} to {soakMaxHours.value} hours here, after: {soakMinHours.source}.
      </p>
      {soakMinHours.disagreement === undefined ? null : (
        <p class="note">Sources disagree. {soakMinHours.disagreement}</p>
      )}
      <PolicySources
        keys={['soakMinHours', 'soakMaxHours', 'outOfWaterCautionHours', 'outOfWaterMaxHours']}
        policies={policies}
      />
    </section>
  )
}

/** The usual caution where water, wood and chemicals meet. */
export function SoakCare() {
  return (
    <p class="care">
      Soak water spreads wood fungi and bacteria from stick to stick within the first hour (Waite et
      al., Phytopathologia Mediterranea 52, 2013): clean the tank and change the water for each
      batch, and keep wood on hold out of it. Disinfectants can hurt people and buds: follow the
      product’s label, wear what it asks for, never mix products, and do with used water what your
      local rules say.
    </p>
  )
}
