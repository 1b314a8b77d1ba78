/** @jsxImportSource preact */
// A lot as the phone knows it: what it is, whether it may be used, who holds it, where it lay.
import { formatTagCode } from '#trade/tag-code.ts'
import type { Phone, PhoneLot } from '../../phone.ts'
import type { Speaker } from '../../words/speaker.ts'
import { useNow } from '../moments.ts'
import { Facts } from '../parts.tsx'
import { useSpeaker } from '../speak.tsx'
import { VerdictPanel } from '../verdict.tsx'
import { accountWords, leftRows, materialWords, quantityWords } from './fact-rows.ts'
import type { FactRow } from './fact-rows.ts'

interface LotDetailsProps {
  readonly phone: Phone
  readonly lot: PhoneLot
  /** The bundle whose tag was read; null for the lot’s own. */
  readonly bundleId: string | null
}

export function LotDetails({ phone, lot, bundleId }: LotDetailsProps) {
  const speaker = useSpeaker()
  const nowMs = useNow(phone)
  const { lotId } = lot
  return (
    <>
      <VerdictPanel judgement={phone.snapshot.judgeWood({ lotId, bundleId }, null, nowMs)} />
      <Facts rows={[...identityRows(lot, phone, speaker), ...leftRows(lot, speaker)]} />
      <Section title={speaker.say('lot.stock')} rows={stockRows(lot, phone, speaker)} />
      <Section title={speaker.say('lot.bundles')} rows={bundleList(lot, speaker)} />
      <Section title={speaker.say('lot.soaks')} rows={soakRows(lot, phone, speaker)} />
      <Section title={speaker.say('lot.stays')} rows={stayRows(lot, phone, speaker)} />
    </>
  )
}

function Section({ title, rows }: { title: string; rows: readonly FactRow[] }) {
  if (rows.length === 0) return null
  return (
    <section>
      <h2>{title}</h2>
      <Facts rows={rows} />
    </section>
  )
}

function identityRows(lot: PhoneLot, phone: Phone, speaker: Speaker): FactRow[] {
  const { facts } = lot
  const rows: FactRow[] = [
    [speaker.say('lot.variety'), lot.varietyName],
    [speaker.say('lot.clone'), lot.clone ?? speaker.say('lot.notRecorded')],
    [speaker.say('lot.class'), lot.className ?? speaker.say('lot.notRecorded')],
    [speaker.say('lot.material'), materialWords(lot.material, speaker)],
    [
      speaker.say('lot.cut'),
      facts.cutAt === null ? speaker.say('lot.notRecorded') : speaker.dateTime(facts.cutAt),
    ],
  ]
  if (facts.receivedAt !== null) {
    rows.push([speaker.say('lot.received'), speaker.dateTime(facts.receivedAt)])
  }
  const names = [...new Set(facts.sources.map(({ sourceId }) => sourceId))].map(
    (id) => phone.snapshot.nameOf(id) ?? id.slice(0, 8),
  )
  if (facts.originUnknown) names.push(speaker.say('lot.sourceUnknown'))
  if (names.length > 0) rows.push([speaker.say('lot.sources'), speaker.list(names)])
  rows.push([
    speaker.say('lot.holds'),
    facts.holds.length === 0 ? speaker.say('lot.noHolds') : speaker.number(facts.holds.length),
  ])
  return rows
}

function stockRows(lot: PhoneLot, phone: Phone, speaker: Speaker): FactRow[] {
  return lot.stock
    .filter(({ sticks, buds }) => sticks !== 0 || buds !== 0)
    .map((stock) => [
      accountWords(stock.account, phone, speaker),
      quantityWords(lot, stock, speaker),
    ])
}

function bundleList(lot: PhoneLot, speaker: Speaker): FactRow[] {
  return lot.bundles.map(({ code, unit, count }) => [
    code === null ? '–' : formatTagCode(code),
    speaker.say(unit === 'bud' ? 'count.buds' : 'count.sticks', { count }),
  ])
}

function soakRows(lot: PhoneLot, phone: Phone, speaker: Speaker): FactRow[] {
  return lot.facts.soaks.map((soak) => [
    phone.snapshot.nameOf(soak.bathId) ?? speaker.say('kind.bath'),
    spanWords(soak, phone, speaker),
  ])
}

function stayRows(lot: PhoneLot, phone: Phone, speaker: Speaker): FactRow[] {
  return lot.facts.stays.map((stay) => {
    const name = phone.snapshot.nameOf(stay.placeId) ?? speaker.say('kind.place')
    return [
      stay.cooled ? `${name} (${speaker.say('lot.cold')})` : name,
      spanWords(stay, phone, speaker),
    ]
  })
}

function spanWords(
  span: { readonly beganAt: number; readonly endedAt: number | null },
  phone: Phone,
  speaker: Speaker,
): string {
  const nowMs = phone.now().getTime()
  const begin = speaker.time(span.beganAt, nowMs)
  if (span.endedAt === null) return speaker.say('lot.since', { begin })
  return speaker.say('lot.span', { begin, end: speaker.time(span.endedAt, nowMs) })
}
