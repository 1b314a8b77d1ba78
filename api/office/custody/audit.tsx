// Audits custody: all lots of a season at a glance with the labels reckoned up, or one lot in full.
import type { Context } from 'hono'
import { localDay } from '#trade/zone-time.ts'
import { auditLots, AUDIT_LOT_LIMIT, lotsOfSeason, readAuditLimits } from '../../custody/audit.ts'
import type { HandoverLine, LotAudit } from '../../custody/audit.ts'
import { lackWords } from '../../custody/audit-words.ts'
import { readNames } from '../../journal/names.ts'
import { reckonPrints } from '../../labels/reckoning.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { ProofLine } from '../proof-line.tsx'
import { LotAuditParts } from './audit-lot.tsx'
import { Reckoning } from './audit-labels.tsx'

/** Shows every lot that moved in the season asked for, else in this one. */
export async function showAudit(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const thisSeason = Number(localDay(clock.now().getTime(), zone).slice(0, 4))
  const asked = c.req.query('season') ?? ''
  const season = /^(19|20)\d\d$/.test(asked) ? Number(asked) : thisSeason
  const limits = await readAuditLimits(db, clock.now())
  const { lotIds, isCut } = await lotsOfSeason(db, season, zone)
  const lots = await auditLots(db, lotIds, limits, clock.now())
  const open = lots.filter((lot) => !isInOrder(lot))
  return show(
    c,
    <Page c={c} title={`Audit of custody, ${season}`} lead={leadWords(lots.length, open.length)}>
      <form class="actions" action="/custody/audit">
        <label for="audit-season">Season</label>
        <input id="audit-season" name="season" inputmode="numeric" size={6} value={season} />
        <button>Show</button>
      </form>
      {isCut ? (
        <p class="care">Only the first {AUDIT_LOT_LIMIT} lots by reference are shown.</p>
      ) : null}
      <NotKnown />
      {lots.length === 0 ? (
        <p class="note">No lot moved in {season}.</p>
      ) : (
        <LotTable lots={[...open, ...lots.filter(isInOrder)]} />
      )}
      <Reckoning prints={await reckonPrints(db)} zone={zone} />
      <ProofLine c={c} />
    </Page>,
  )
}

function leadWords(lots: number, open: number): string {
  const moved = `${lots === 1 ? 'One lot' : `${lots} lots`} moved; `
  return moved + (open === 0 ? 'no question is left.' : `of ${open} a question is left.`)
}

/** Shows one lot. */
export async function showLotAudit(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const lotId = pathId(c, 'lotId', 'lot')
  const limits = await readAuditLimits(db, clock.now())
  const lot = found((await auditLots(db, [lotId], limits, clock.now()))[0] ?? null, 'lot')
  const named = [
    ...lot.handovers.flatMap((one) => [one.toHolderId, one.handedBy, one.acceptedBy ?? []].flat()),
    ...lot.overlaps.map(({ accountId }) => accountId),
  ]
  const names = await readNames(db, named)
  const zone = await nurseryTimeZone(db)
  return show(
    c,
    <Page
      c={c}
      title={`Audit of custody: ${lot.reference}`}
      lead={
        isInOrder(lot)
          ? 'The records leave no question about who had this lot.'
          : 'The records leave a question about who had this lot.'
      }
      actions={
        <a class="button" href={`/lots/${lotId}`}>
          The lot
        </a>
      }
    >
      <LotAuditParts lot={lot} limits={limits} nameOf={(id) => names.get(id)} zone={zone} />
      <NotKnown />
      <p>
        <a href="/custody/audit">All lots of the season</a>
      </p>
      <ProofLine c={c} />
    </Page>,
  )
}

const isOpen = ({ state, waits }: HandoverLine) => state !== 'accepted' && !waits

function isInOrder(lot: LotAudit): boolean {
  const { gaps, overlaps, handovers, isWithinTolerance } = lot
  return gaps.length + overlaps.length === 0 && !handovers.some(isOpen) && isWithinTolerance
}

function NotKnown() {
  return (
    <p class="note">
      Not known: whether a place was locked while nobody was there, and who else went in. A stay in
      a place is shown as recorded, and proves no more than that.
    </p>
  )
}

function LotTable({ lots }: { lots: LotAudit[] }) {
  const head = ['Lot', 'Gaps', 'In two places', 'Handovers', 'Not in order', 'Balance']
  return (
    <Table caption="Lots, those with a question first" head={head}>
      {lots.map((lot) => (
        <tr>
          <td class="whole">
            <a href={`/custody/audit/${lot.lotId}`}>{lot.reference}</a>
          </td>
          <td class="number">{lot.gaps.length}</td>
          <td class="number">{lot.overlaps.length}</td>
          <td class="number">{lot.handovers.length}</td>
          <td class="number">{lot.handovers.filter(isOpen).length}</td>
          <td>{lackWords(lot)}</td>
        </tr>
      ))}
    </Table>
  )
}
