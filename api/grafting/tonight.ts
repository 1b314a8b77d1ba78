// Tonight's list: reads rows, wood and tanks, and has the plan worked out of them.
import { sql } from 'kysely'
import { thermalAgeDays } from '#trade/thermal-facts.ts'
import { MS_PER_DAY } from '#trade/intervals.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import type { Policies } from '#trade/policies.ts'
import { planTonight } from '#trade/tonight.ts'
import type { TonightPlan, WoodAtHand } from '#trade/tonight.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { readPieceFacts } from '../lots/piece-facts.ts'
import { nurseryTimeZone, readPolicies } from '../nursery/read.ts'
import type { RowNow } from '../nursery/read-blocks.ts'
import { readPositions } from '../store/positions.ts'
import type { WoodPosition } from '../store/positions.ts'
import { readTanks } from '../store/tanks.ts'
import type { Tank } from '../store/tanks.ts'
import { DRAIN_MINUTES, usualTimes } from './tonight-times.ts'
import { readNeeds } from './tonight-needs.ts'
import type { NamedNeed } from './tonight-needs.ts'

/** What is asked; null takes the usual time, the policies' share, or the plan's buds. */
export type TonightAsked = {
  rowIds: readonly string[]
  readyAt: Date | null
  intoWaterAt: Date | null
  drainMinutes: number | null
  overageShare: number | null
  budsPerVine: number | null
  useCautioned: boolean
  /** Null takes every tank that no hold stands on, fresh water first. */
  tankIds: readonly string[] | null
}

/** Most rows that one list is worked out for. */
export const TONIGHT_ROWS = 200

/** The plan with everything needed to read it out. */
export type Tonight = {
  asked: Omit<TonightAsked, 'readyAt' | 'intoWaterAt'> & { readyAt: Date; intoWaterAt: Date }
  overageShare: number
  season: number
  zone: string
  policies: Policies
  rows: RowNow[]
  needs: NamedNeed[]
  plan: TonightPlan
  /** Positions by the plan's wood keys, and the tags of their bundles. */
  wood: Map<string, WoodPosition & { tagCode: string | null }>
  tanks: Tank[]
}

/** Works out the list from the records as they stand. */
export async function readTonight(db: Database, asked: TonightAsked, now: Date): Promise<Tonight> {
  const [zone, { policies }] = await Promise.all([nurseryTimeZone(db), readPolicies(db, now)])
  const usual = usualTimes(policies, now, zone)
  const readyAt = asked.readyAt ?? usual.readyAt
  const intoWaterAt = asked.intoWaterAt ?? usual.intoWaterAt
  const season = Number(localDay(readyAt.getTime(), zone).slice(0, 4))
  const rowIds = [...new Set(asked.rowIds)].slice(0, TONIGHT_ROWS)
  const { needs, rows } = await readNeeds(db, rowIds, season, zone, asked.budsPerVine)
  const varietyIds = [...new Set(needs.map(({ planNow }) => planNow.variety_id))]
  const [positions, allTanks] = await Promise.all([
    readScionWood(db, zone, varietyIds),
    readTanks(db),
  ])
  const tanks = chosenTanks(allTanks, asked.tankIds)
  const [wood, tags] = await Promise.all([
    woodAtHand(db, positions, now),
    readTags(
      db,
      positions.flatMap(({ bundleId }) => bundleId ?? []),
    ),
  ])
  const overageShare = asked.overageShare ?? policies.fieldOverageShare.value
  const plan = planTonight(
    {
      now: now.getTime(),
      readyAt: readyAt.getTime(),
      intoWaterAt: intoWaterAt.getTime(),
      drainMinutes: asked.drainMinutes ?? DRAIN_MINUTES,
      overageShare,
      useCautioned: asked.useCautioned,
      needs,
      wood,
      tanks: tanks.map(({ tankId, litres, sticksIn }) => ({ key: tankId, litres, sticksIn })),
    },
    policies,
  )
  const named = positions.map((position) => {
    const tagCode = position.bundleId === null ? null : (tags.get(position.bundleId) ?? null)
    return [position.key, { ...position, tagCode }] as const
  })
  return {
    asked: { ...asked, readyAt, intoWaterAt },
    ...{ overageShare, season, zone, policies, rows, needs, plan, wood: new Map(named), tanks },
  }
}

/** Tanks in the order in which they are used: fresh water, then empty, then water with wood. */
function chosenTanks(tanks: Tank[], chosen: readonly string[] | null): Tank[] {
  const order = (tank: Tank) => (tank.sticksIn > 0 ? 2 : tank.bathId === null ? 1 : 0)
  return tanks
    .filter((tank) => !tank.held && (chosen === null || chosen.includes(tank.tankId)))
    .sort((one, other) => order(one) - order(other))
}

/** Pieces of wood of these varieties that lie in places or in water. */
async function readScionWood(
  db: Database,
  zone: string,
  varietyIds: readonly string[],
): Promise<WoodPosition[]> {
  if (varietyIds.length === 0) return []
  const rows = await sql<{ lot_id: string }>`
    select distinct b.lot_id from balance b join lot_first l on l.lot_id = b.lot_id
    where b.count > 0 and b.account_kind in ('place', 'bath', 'unknown')
      and l.material = 'scion wood' and l.variety_id = any(${varietyIds}::uuid[])`.execute(db)
  const lotIds = rows.rows.map((row) => row.lot_id)
  if (lotIds.length === 0) return []
  const filter = { lotIds, kinds: ['place', 'bath', 'unknown'] as const }
  return (await readPositions(db, zone, filter, lotIds.length)).positions
}

async function woodAtHand(
  db: Database,
  positions: readonly WoodPosition[],
  now: Date,
): Promise<WoodAtHand[]> {
  const facts = await readPieceFacts(db, positions, now)
  return positions.flatMap((position, nr) => {
    const known = facts[nr] ?? null
    if (known === null) return []
    return [
      {
        key: position.key,
        facts: known,
        sticks: position.sticks,
        budsPerStick: position.budsPerStick,
        inWaterSince: position.account.kind === 'bath' ? position.firstAt.getTime() : null,
        ageDays: ageOf(known, now.getTime()),
      },
    ]
  })
}

/** By the readings where there are any, else by the calendar; of unknown age counts as oldest. */
function ageOf(lot: KnownLotFacts, now: number): number {
  if (lot.thermal !== null && lot.thermal !== undefined) return thermalAgeDays(lot.thermal, now)
  const since = lot.cutAt ?? lot.receivedAt
  return since === null ? Number.MAX_SAFE_INTEGER : Math.max(0, (now - since) / MS_PER_DAY)
}

/** The tag that a bundle carries now; the latest where there are several. */
async function readTags(db: Database, bundleIds: string[]): Promise<Map<string, string>> {
  if (bundleIds.length === 0) return new Map()
  const rows = await sql<{ thing_id: string; code: string }>`
    select t.thing_id, t.code from tag_now t
    where t.ended_how is null and t.thing_id = any(${bundleIds}::uuid[])
      and t.code in (select code from tag_binding where thing_id = any(${bundleIds}::uuid[]))
    order by t.bound_at`.execute(db)
  return new Map(rows.rows.map((row) => [row.thing_id, row.code]))
}
