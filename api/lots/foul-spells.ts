// Which held wood the blades cut, and what other wood before they were disinfected or lay unused.
import { sql } from 'kysely'
import { BLADE_CARRIES_HOURS, byLot, spellsOf } from '#trade/blade-contact.ts'
import type { LotCut } from '#trade/blade-contact.ts'
import { routesOf } from '#trade/health-agents.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import type { HoldOn } from '#trade/hold-reach.ts'
import type { Database } from '../../db/connect.ts'
import { bladeOf, readCleanings } from '../grafting/blades.ts'

/** A spell of a blade that cut held wood, lot by lot; times are epoch milliseconds. */
export type FoulSpell = {
  blade: string
  cuts: LotCut[]
  /** The disinfection that ended it; null where it lies unused, or may still be in use. */
  cleanedAt: number | null
}

/** Can what a hold is for pass from wood to wood on a blade? */
export const isCarriedByBlade = ({ agent }: Pick<HoldOn, 'agent'>) => routesOf(agent).has('blade')

/**
 * The spells of blades in which wood of `heldLots` was cut. A graft without a tagged knife counts
 * for the knife in the hand of that person, as in a recall: nobody can say that it was another.
 *
 * @param ofLots only those of blades that cut wood of these lots; null for all
 */
export async function readFoulSpells(
  db: Database,
  heldLots: readonly string[],
  ofLots: readonly string[] | null,
): Promise<FoulSpell[]> {
  if (heldLots.length === 0) return []
  const rows = await sql<{ blade: string; lot_id: string; since: Date; times: string }>`
    with blade as (
      select distinct ${bladeOf('g')} as blade from graft g
      where g.lot_id = any(${ofLots ?? heldLots}::uuid[])
    ), held as materialized (
      select b.blade, (
        select g.grafted_at from graft g
        where ${bladeOf('g')} = b.blade and g.lot_id = any(${heldLots}::uuid[])
        order by g.grafted_at limit 1
      ) as since from blade b
    )
    select h.blade, g.lot_id, h.since,
      array_agg((date_part('epoch', g.grafted_at) * 1000000)::int8)::text as times
    from held h join graft g on ${bladeOf('g')} = h.blade and g.grafted_at >= h.since
    group by 1, 2, 3`.execute(db)
  const cuts = new Map<string, LotCut[]>()
  for (const { blade, lot_id: lotId, times } of rows.rows) {
    const ofBlade = cuts.get(blade) ?? []
    cuts.set(blade, ofBlade)
    for (const text of times.slice(1, -1).split(',')) {
      const at = Math.floor(Number(text) / 1000)
      ofBlade.push({ lotId, firstAt: at, lastAt: at })
    }
  }
  const since = new Date(Math.min(...rows.rows.map((row) => row.since.getTime())))
  const cleanings = cuts.size === 0 ? null : await readCleanings(db, [...cuts.keys()], since)
  const held = new Set(heldLots)
  return [...cuts]
    .flatMap(([blade, ofBlade]) => {
      const cleaned = (cleanings?.get(blade) ?? []).map((at) => Math.floor(at))
      return spellsOf(ofBlade, cleaned).flatMap((spell) => foulSpell(blade, spell, cleaned, held))
    })
    .sort((one, other) => (key(one) < key(other) ? -1 : 1))
}

/** A spell from the first cut of held wood on; none when no held wood was cut in it. */
function foulSpell(
  blade: string,
  spell: readonly LotCut[],
  cleanings: readonly number[],
  held: ReadonlySet<string>,
): FoulSpell[] {
  const foulAt = spell.find(({ lotId }) => held.has(lotId))?.firstAt
  if (foulAt === undefined) return []
  const cuts = byLot(spell.filter(({ lastAt }) => lastAt >= foulAt))
  const lastAt = Math.max(...cuts.map((cut) => cut.lastAt))
  const restedAt = lastAt + BLADE_CARRIES_HOURS * MS_PER_HOUR
  const cleanedAt = cleanings.find((at) => at > lastAt && at <= restedAt) ?? null
  return [{ blade, cuts: cuts.sort((a, b) => (a.lotId < b.lotId ? -1 : 1)), cleanedAt }]
}

const key = ({ blade, cuts }: FoulSpell) =>
  `${blade} ${String(Math.min(...cuts.map(({ firstAt }) => firstAt))).padStart(15, '0')}`

/**
 * Wood that came of held things: each lot that moved, with those of `onIds` that it came of.
 */
export async function readHeldWood(
  db: Database,
  onIds: readonly string[],
): Promise<{ lotId: string; cameOf: string[] }[]> {
  if (onIds.length === 0) return []
  const wood = await sql<{ lotId: string; cameOf: string[] }>`
    with recursive down(held, id) as (
      select id, id from unnest(${onIds}::uuid[]) as id
      union
      select down.held, e.to_id from down join lineage_edge e on e.from_id = down.id
    )
    select id as "lotId", array_agg(held order by held) as "cameOf" from down
    where exists (select 1 from movement m where m.lot_id = down.id)
    group by id order by id`.execute(db)
  return wood.rows
}
