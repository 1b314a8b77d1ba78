// What the records cannot tell about a recall, and why: an honest list beside what they can.
import { sql } from 'kysely'
import { findAgent } from '#trade/health-agents.ts'
import type { Route } from '#trade/health-agents.ts'
import type { Database } from '../../db/connect.ts'
import { bladeOf } from '../grafting/blades.ts'
import type { Recall } from './recall.ts'

/** One thing that cannot be known; `count` says how many cases there are, where that helps. */
export type Unknown =
  | { what: 'no clean test before' }
  | { what: 'clean test was pooled'; pooledVines: number; day: string }
  | { what: 'test inconclusive'; day: string; source: string }
  | { what: 'agent not in the list' }
  | { what: 'route not studied'; route: Route }
  | { what: 'lot of unknown origin'; lotId: string; reference: string }
  | { what: 'graft without a knife'; count: number }
  | { what: 'no disinfection recorded'; count: number }
  | { what: 'trunk of unknown origin'; count: number }
  | { what: 'phone not heard of'; device: string; lastSeenAt: Date | null }
  | { what: 'spread by insects and soil' }
  | { what: 'too many steps' }

type Known = Omit<Recall, 'unknowns'>

/** Days without a word after which a phone may still hold entries of weight to a recall. */
const SILENT_DAYS = 2

/** What cannot be known about this recall. */
export async function readUnknowns(db: Database, recall: Known): Promise<Unknown[]> {
  const unknowns: Unknown[] = [...ofTests(recall), ...ofRoutes(recall)]
  unknowns.push(...(await lotsOfUnknownOrigin(db, recall)))
  if (recall.routes.has('blade')) unknowns.push(...(await ofBlades(db, recall)))
  unknowns.push(...(await trunksOfUnknownOrigin(db, recall)))
  unknowns.push(...(await silentPhones(db)))
  unknowns.push({ what: 'spread by insects and soil' })
  if (!recall.isComplete) unknowns.push({ what: 'too many steps' })
  return unknowns
}

function ofTests({ since, tests, question }: Known): Unknown[] {
  const unknowns: Unknown[] = []
  if (since.test === null) unknowns.push({ what: 'no clean test before' })
  else if (since.test.pooled_vines > 1) {
    const { pooled_vines: pooledVines, sampled_on: day } = since.test
    unknowns.push({ what: 'clean test was pooled', pooledVines, day })
  }
  for (const test of tests) {
    if (test.result !== 'inconclusive' || test.sampled_on > question.foundOn) continue
    unknowns.push({ what: 'test inconclusive', day: test.sampled_on, source: test.source })
  }
  return unknowns
}

function ofRoutes({ question, routes, isKnownAgent }: Known): Unknown[] {
  if (!isKnownAgent) return [{ what: 'agent not in the list' }]
  const evidence = findAgent(question.agent)?.routes
  return [...routes].flatMap((route): Unknown[] =>
    evidence?.[route] === 'unknown' ? [{ what: 'route not studied', route }] : [],
  )
}

/** Lots received without a source, upstream or among what is reached. */
async function lotsOfUnknownOrigin(db: Database, recall: Known): Promise<Unknown[]> {
  const ids = [...recall.lots, ...recall.upstream.lots].map((lot) => lot.lot_id)
  const rows = await sql<{ lot_id: string; reference: string }>`
    select lot_id, reference from lot_first
    where lot_id = any(${ids}::uuid[]) and made_by = 'received' and source_id is null
    order by reference`.execute(db)
  return rows.rows.map(({ lot_id, reference }) => ({
    what: 'lot of unknown origin',
    lotId: lot_id,
    reference,
  }))
}

async function ofBlades(db: Database, recall: Known): Promise<Unknown[]> {
  const ids = recall.lots.map((lot) => lot.lot_id)
  const rows = await sql<{ untagged: number; days: number; cleaned: number }>`
    with day as (
      select ${bladeOf('g')} as blade, (g.grafted_at at time zone 'UTC')::date as day,
        count(*) filter (where g.knife_id is null) as untagged
      from graft g where g.lot_id = any(${ids}::uuid[]) group by 1, 2
    )
    select coalesce(sum(untagged), 0)::int as untagged, count(*)::int as days,
      count(*) filter (where exists (
        select 1 from tool_cleaning c where ${bladeOf('c')} = d.blade
          and c.cleaned_at >= d.day::timestamp at time zone 'UTC'
          and c.cleaned_at < (d.day + 1)::timestamp at time zone 'UTC'))::int as cleaned
    from day d`.execute(db)
  const [row] = rows.rows
  if (row === undefined) return []
  const unknowns: Unknown[] = []
  if (row.untagged > 0) unknowns.push({ what: 'graft without a knife', count: row.untagged })
  if (row.days > row.cleaned) {
    unknowns.push({ what: 'no disinfection recorded', count: row.days - row.cleaned })
  }
  return unknowns
}

/** Rows where a recalled vine stands on a trunk whose origin nobody recorded. */
async function trunksOfUnknownOrigin(db: Database, recall: Known): Promise<Unknown[]> {
  const rowIds = recall.rows.map((row) => row.row_id)
  const rows = await sql<{ count: number }>`
    select count(distinct row_id)::int as count from trunk_layer
    where row_id = any(${rowIds}::uuid[]) and origin_id is null`.execute(db)
  const count = rows.rows[0]?.count ?? 0
  return count === 0 ? [] : [{ what: 'trunk of unknown origin', count }]
}

/** Phones that have not been heard of lately: they may hold entries that nobody has seen. */
async function silentPhones(db: Database): Promise<Unknown[]> {
  const rows = await sql<{ name: string; last_seen_at: Date | null }>`
    select d.name, d.last_seen_at from device d
    where d.kind = 'phone' and d.confirmed_at is not null
      and not exists (select 1 from device_revocation r where r.device_id = d.device_id)
      and d.last_seen_at < (select max(recorded_at) from entry)
        - ${SILENT_DAYS} * interval '1 day'
    order by d.last_seen_at limit 20`.execute(db)
  return rows.rows.map(({ name, last_seen_at }) => ({
    what: 'phone not heard of',
    device: name,
    lastSeenAt: last_seen_at,
  }))
}
