// A lot's page: what it is, whether it may be used, where its wood is, and its whole story.
import type { Context } from 'hono'
import { judgeLots, reasonsInWords } from '../../lots/judge-lots.ts'
import { readCheckLines } from '../../lots/check-lines.ts'
import { readLotDetail } from '../../lots/lot-detail.ts'
import type { LotHold, LotIdentity } from '../../lots/lot-detail.ts'
import { readNames } from '../../journal/names.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readAccountNames } from '../../store/account-names.ts'
import { readPositions } from '../../store/positions.ts'
import { traceLotBack } from '../../trace/back.ts'
import { canTell } from '../exchange/can-tell.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { Saved } from '../saved.tsx'
import { shownDay, shownTime } from '../times.ts'
import { LotChecks } from './lot-checks.tsx'
import { LotJudgement } from './lot-judgement.tsx'
import { LotGrafts, LotLineage } from './lot-lineage.tsx'
import { LotStory, readStoryPage } from './lot-story.tsx'
import { readTreatments } from '../../store/treatments.ts'
import { TreatmentTable } from '../soak/treatments.tsx'
import { LotBalance, LotBundles, WhereItIs } from './lot-wood.tsx'

/** Shows the page of the lot in the address. */
export async function showLot(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const lotId = pathId(c, 'lotId', 'lot')
  const detail = found(await readLotDetail(db, lotId), 'lot')
  const zone = await nurseryTimeZone(db)
  const story = await readStoryPage(db, lotId, zone, c.req.query('story'))
  const lot = detail.identity
  if (lot === null) return show(c, <UnmadeLot c={c} story={story} lotId={lotId} zone={zone} />)
  const [judged, { policies }, { positions }, traced, nameOf] = await Promise.all([
    judgeLots(db, [lotId], now),
    readPolicies(db, now),
    readPositions(db, zone, { lotIds: [lotId] }),
    traceLotBack(db, lotId),
    readAccountNames(db, accountsOf(detail), zone),
  ])
  const judgement = found(judged.get(lotId), 'lot')
  const origins = traced.shares.find((shares) => shares.lotId === lotId)?.origins ?? []
  const ids = origins.flatMap(({ firstLotId, sourceId }) => [firstLotId, sourceId ?? lotId])
  const [reasons, names, checks, treatments] = await Promise.all([
    reasonsInWords(db, judgement),
    readNames(db, ids),
    readCheckLines(db, lotId),
    readTreatments(db, { lotId }),
  ])
  const shown = { detail, lot, nameOf, zone }
  const isTold = await canTell(c)
  return show(
    c,
    <Page
      c={c}
      title={`Lot ${lot.reference}`}
      lead={leadOf(lot)}
      actions={<Actions lot={lot} isTold={isTold} />}
    >
      <Saved c={c} />
      <LotJudgement judgement={judgement} reasons={reasons} policies={policies} />
      <Holds holds={detail.holds} zone={zone} />
      <div class="halves">
        <Identity lot={lot} zone={zone} />
        <WhereItIs {...shown} positions={positions} />
      </div>
      <LotChecks {...checks} lotId={lotId} policies={policies} zone={zone} />
      {treatments.length === 0 ? null : <h2>Treatments</h2>}
      {treatments.length === 0 ? null : <TreatmentTable treatments={treatments} zone={zone} />}
      <LotBundles {...shown} />
      <LotLineage detail={detail} lot={lot} origins={origins} names={names} />
      <LotGrafts grafts={detail.grafts} zone={zone} />
      <LotBalance {...shown} />
      <LotStory story={story} lotId={lotId} zone={zone} />
      <p class="hint">As recorded until {shownTime(now, zone)}. Evidence, not a certificate.</p>
    </Page>,
  )
}

function accountsOf(detail: NonNullable<Awaited<ReturnType<typeof readLotDetail>>>) {
  const holdings = [...detail.balance, ...detail.bundles.flatMap((bundle) => bundle.holdings)]
  return holdings.map(({ account_kind, account_id }) => ({ kind: account_kind, id: account_id }))
}

function leadOf(lot: LotIdentity): string {
  const parts = [lot.material, lot.variety ?? 'unknown variety', lot.clone && `clone ${lot.clone}`]
  return parts.filter(Boolean).join(', ')
}

function Actions({ lot, isTold }: { lot: LotIdentity; isTold: boolean }) {
  const actions = [
    ['hand-over', 'Hand over'],
    ['move', 'Move'],
    ['soak', 'Soak'],
    ['return', 'Take back'],
    ['split', 'Split'],
    ['discard', 'Discard'],
    ['purity', 'Purity'],
  ] as const
  return (
    <>
      {actions.map(([path, label]) => (
        <a class="button" href={`/lots/${lot.lot_id}/${path}`}>
          {label}
        </a>
      ))}
      <a class="button" href={`/tags/lot/${lot.lot_id}`}>
        Print tags
      </a>
      <a class="button" href={`/dossier/lot/${lot.lot_id}`}>
        Dossier
      </a>
      {isTold ? (
        <a class="button" href={`/exchange/lot/${lot.lot_id}`}>
          For other programs
        </a>
      ) : null}
      <a class="button" href={`/custody/holds/place?kind=lot&id=${lot.lot_id}`}>
        Place a hold
      </a>
    </>
  )
}

function Holds({ holds, zone }: { holds: LotHold[]; zone: string }) {
  return (
    <>
      {holds.map((hold) => (
        <p class="care">
          On hold since {shownDay(hold.placed_at, zone)}
          {hold.agent === null ? '' : ` for ${hold.agent}`}, placed by {hold.person ?? 'somebody'}
          {': '}
          {hold.reason} <a href={`/custody/holds/${hold.hold_id}`}>See the hold</a>
        </p>
      ))}
    </>
  )
}

function Identity({ lot, zone }: { lot: LotIdentity; zone: string }) {
  const facts: [string, string | number | null][] = [
    ['Variety', lot.variety ?? 'unknown'],
    ['Clone', lot.clone ?? 'none recorded'],
    ['Scheme and class', [lot.scheme, lot.class].filter(Boolean).join(', ') || 'none recorded'],
    ['Material', lot.material],
    ['Year of growth', lot.harvest_year],
    ['Usable buds on a stick', lot.buds_per_stick],
    [madeWords[lot.made_by] ?? 'Recorded', shownTime(lot.occurred_at, zone)],
    ['By', lot.person ?? 'somebody not registered here'],
    ['Supplier', lot.supplier_id === null ? null : (lot.supplier ?? 'not registered here')],
    ['Supplier’s reference', lot.supplier_reference],
    ['Traceability code', lot.passport_code],
    ['Note', lot.note === '' ? null : lot.note],
  ]
  return (
    <section aria-labelledby="identity">
      <h2 id="identity">What it is</h2>
      {lot.makings > 1 ? (
        <p class="care">
          {lot.makings} entries claim to have made this lot; the first one counts. See the findings.
        </p>
      ) : null}
      <dl class="facts">
        {facts.flatMap(([name, value]) =>
          value === null ? [] : [<dt>{name}</dt>, <dd>{value}</dd>],
        )}
      </dl>
    </section>
  )
}

const madeWords: Record<string, string> = {
  cut: 'Cut',
  received: 'Received',
  split: 'Parted',
  combined: 'Combined',
}

/** Entries speak of the lot, but the one that made it is missing or withdrawn. */
function UnmadeLot(props: {
  c: Context<Env>
  story: Awaited<ReturnType<typeof readStoryPage>>
  lotId: string
  zone: string
}) {
  return (
    <Page c={props.c} title="A lot that no entry made">
      <p class="care">
        Entries speak of this lot, but none that stands says what it is. Its own entry may still be
        on a device, or was withdrawn. Do not use the wood until that is cleared up.
      </p>
      <LotStory story={props.story} lotId={props.lotId} zone={props.zone} />
    </Page>
  )
}
