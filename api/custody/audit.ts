// Reads for each lot what an auditor asks of custody: gaps, overlaps, handovers, and the balance.
import { sql } from 'kysely'
import { custodySpans } from '#trade/custody-spans.ts'
import type { CustodyGap, CustodyLeg, CustodyOverlap } from '#trade/custody-spans.ts'
import type { Database } from '../../db/connect.ts'
import { readPolicies } from '../nursery/read.ts'

/** How a handover stands with the other side. */
export type HandoverState = 'accepted' | 'accepted late' | 'differs' | 'own hand' | 'not accepted'

/** One handover, and what the other side said of it. Counts are in `unit`. */
export type HandoverLine = {
  entryId: string
  lotId: string
  toHolderId: string
  handedBy: string
  at: Date
  unit: string
  count: number
  acceptedAt: Date | null
  acceptedBy: string | null
  acceptedCount: number | null
  state: HandoverState
  /** Not accepted, and the hours that the policy gives are not over yet. */
  waits: boolean
}

/** What came in and where it is by the books, in bud equivalents. */
export type BalanceLine = {
  cameIn: number
  set: number
  left: number
  discarded: number
  checked: number
  toLots: number
  /** What accounts gave out more than they held: by so much the lot does not add up. */
  short: number
}

/** One lot as custody has it. */
export type LotAudit = {
  lotId: string
  reference: string
  gaps: CustodyGap[]
  overlaps: CustodyOverlap[]
  handovers: HandoverLine[]
  balance: BalanceLine
  isWithinTolerance: boolean
}

/** The limits that the audit goes by: hours to accept, and the share of the lot that may lack. */
export type AuditLimits = { acceptHours: number; toleranceShare: number }

/** The limits that the nursery's policies set at `now`. */
export async function readAuditLimits(db: Database, now: Date): Promise<AuditLimits> {
  const { policies } = await readPolicies(db, now)
  return {
    acceptHours: policies.handoverAcceptHours.value,
    toleranceShare: policies.balanceToleranceShare.value,
  }
}

/** Most lots on one page. */
export const AUDIT_LOT_LIMIT = 300

/** The lots that moved in a calendar year of `zone`, by reference. */
export async function lotsOfSeason(
  db: Database,
  season: number,
  zone: string,
): Promise<{ lotIds: string[]; isCut: boolean }> {
  const { rows } = await sql<{ lot_id: string }>`
    select l.lot_id from lot_first l where exists (
      select 1 from movement m where m.lot_id = l.lot_id
        and m.occurred_at >= (${`${season}-01-01`}::timestamp at time zone ${zone})
        and m.occurred_at < (${`${season + 1}-01-01`}::timestamp at time zone ${zone})
    ) order by l.reference, l.lot_id limit ${AUDIT_LOT_LIMIT + 1}`.execute(db)
  const lotIds = rows.map(({ lot_id }) => lot_id)
  return { lotIds: lotIds.slice(0, AUDIT_LOT_LIMIT), isCut: lotIds.length > AUDIT_LOT_LIMIT }
}

/** Audits the lots; three queries, however many. */
export async function auditLots(
  db: Database,
  lotIds: readonly string[],
  limits: AuditLimits,
  now: Date,
): Promise<LotAudit[]> {
  const ids = [...lotIds]
  const [lots, legs, handovers] = await Promise.all([
    readLots(db, ids),
    readLegs(db, ids),
    readHandovers(db, ids, limits, now),
  ])
  return lots.map(({ lot_id: lotId, reference }) => {
    const own = legs.filter((leg) => leg.lotId === lotId)
    const balance = balanceOf(own)
    return {
      lotId,
      reference,
      ...custodySpans(own),
      handovers: handovers.filter((line) => line.lotId === lotId),
      balance,
      isWithinTolerance: balance.short <= balance.cameIn * limits.toleranceShare,
    }
  })
}

async function readLots(db: Database, ids: string[]) {
  return db
    .selectFrom('lot_first')
    .select(['lot_id', 'reference'])
    .where('lot_id', '=', sql<string>`any(${ids}::uuid[])`)
    .orderBy('reference')
    .orderBy('lot_id')
    .execute()
}

type Leg = CustodyLeg & { lotId: string }

/** Legs of one entry on one account count as one; grafts are summed by vine row and day. */
async function readLegs(db: Database, ids: string[]): Promise<Leg[]> {
  const { rows } = await sql<Omit<Leg, 'atMs'> & { at: Date }>`
    select m.entry_id as "entryId", m.lot_id as "lotId", m.account_kind as "accountKind",
      m.account_id as "accountId", min(m.occurred_at) as at,
      sum(m.count * case m.unit when 'stick' then greatest(coalesce(l.buds_per_stick, 1), 1)
        else 1 end)::int as "budEquivalents"
    from movement m left join lot_first l on l.lot_id = m.lot_id
    where m.lot_id = any(${ids}::uuid[])
    group by 1, 2, 3, 4`.execute(db)
  return rows.map(({ at, ...leg }) => ({ ...leg, atMs: at.getTime() }))
}

function balanceOf(legs: readonly Leg[]): BalanceLine {
  const sums = new Map<string, number>()
  const accounts = new Map<string, number>()
  for (const { accountKind, accountId, budEquivalents } of legs) {
    const add = (to: Map<string, number>, key: string) =>
      to.set(key, (to.get(key) ?? 0) + budEquivalents)
    const isOther = accountKind === 'lot'
    add(sums, isOther ? (budEquivalents < 0 ? 'from lots' : 'to lots') : accountKind)
    if (['place', 'bath', 'holder', 'unknown'].includes(accountKind)) {
      add(accounts, `${accountKind} ${accountId}`)
    }
  }
  const of = (kind: string) => sums.get(kind) ?? 0
  const total = (pick: (held: number) => number) =>
    [...accounts.values()].reduce((sum, held) => sum + pick(held), 0)
  return {
    cameIn: 0 - of('source') - of('supplier') - of('from lots'),
    set: of('vine'),
    left: total((held) => Math.max(0, held)),
    discarded: of('discarded'),
    checked: of('check'),
    toLots: of('to lots'),
    short: total((held) => Math.max(0, -held)),
  }
}

type HandoverRow = Omit<HandoverLine, 'state' | 'waits'> & { isSame: boolean | null }

/** Of several acceptances of one handover, one that agrees counts, else the latest. */
async function readHandovers(
  db: Database,
  ids: string[],
  limits: AuditLimits,
  now: Date,
): Promise<HandoverLine[]> {
  const { rows } = await sql<HandoverRow>`
    select m.entry_id as "entryId", m.lot_id as "lotId", m.account_id as "toHolderId",
      e.person_id as "handedBy", m.occurred_at as at, m.unit, m.count,
      a.accepted_at as "acceptedAt", a.person_id as "acceptedBy", a.count as "acceptedCount",
      a.is_same as "isSame"
    from movement m join entry e on e.id = m.entry_id and e.kind = 'wood.handed_over'
      left join lateral (
        select w.accepted_at, w.person_id, w.count, (w.lot_id = m.lot_id
          and w.bundle_id = m.bundle_id and w.unit = m.unit and w.count = m.count) as is_same
        from wood_acceptance w where w.handover_id = m.entry_id
        order by is_same desc, w.accepted_at desc, w.entry_id desc limit 1
      ) a on true
    where m.lot_id = any(${ids}::uuid[]) and m.account_kind = 'holder' and m.count > 0
    order by m.occurred_at, m.entry_id`.execute(db)
  return rows.map(({ isSame, ...row }) => ({ ...row, ...stateOf(row, isSame, limits, now) }))
}

/** Whoever gave wood does not accept it for the other side. */
function stateOf(
  row: Omit<HandoverRow, 'isSame'>,
  isSame: boolean | null,
  { acceptHours }: AuditLimits,
  now: Date,
): { state: HandoverState; waits: boolean } {
  const limit = row.at.getTime() + acceptHours * 3_600_000
  if (row.acceptedAt === null) return { state: 'not accepted', waits: now.getTime() <= limit }
  const said = (state: HandoverState) => ({ state, waits: false })
  if (isSame !== true) return said('differs')
  if (row.acceptedBy === row.handedBy) return said('own hand')
  return said(row.acceptedAt.getTime() > limit ? 'accepted late' : 'accepted')
}
