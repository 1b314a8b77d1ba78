// One step of a recall: what was made of the reached things, and what shared their water or place.
import { sql } from 'kysely'
import type { Route } from '#trade/health-agents.ts'
import type { Database } from '../../db/connect.ts'
import type { FoundVine, ReachedThing } from './recall-spread.ts'

type Found = { id: string; at: Date; via: string }

/**
 * Lots and sources that came of `things` after the agent may have reached them: vines of a source
 * block, the block's lots for a vine that stands in it (its wood may be among them), lots cut from
 * a source, parts and mixtures of a lot, and sources that were raised from a lot or are vines
 * grafted with it or standing on it, or are among the `vines` where the agent was found.
 */
export async function bornOf(
  db: Database,
  things: readonly ReachedThing[],
  vines: readonly FoundVine[],
): Promise<ReachedThing[]> {
  const rows = await sql<Found>`
    with given as (${given(things)})
    select s.source_id as id, g.at, g.id as via
      from given g join source_standing_row s on s.parent_source_id = g.id
    union all
    select l.lot_id, l.occurred_at, g.id
      from given g join source_standing_row s on s.source_id = g.id
        join lot l on l.source_id = s.parent_source_id and l.occurred_at >= g.at
    union all
    select l.lot_id, l.occurred_at, g.id
      from given g join lot l on l.source_id = g.id and l.occurred_at >= g.at
    union all
    select p.lot_id, l.occurred_at, g.id
      from given g join lot_parent p on p.parent_lot_id = g.id
        join lot l on l.lot_id = p.lot_id and l.entry_id = p.entry_id and l.occurred_at >= g.at
    union all
    select s.source_id, g.at, g.id
      from given g join source_standing_row s on s.origin_lot_id = g.id
    union all
    select s.source_id, gr.grafted_at, g.id
      from given g join graft gr on gr.lot_id = g.id and gr.grafted_at >= g.at
        join source_standing_row s on s.row_id = gr.row_id and s.position = gr.position
    union all
    select s.source_id, g.at, g.id
      from given g join trunk_layer t on t.origin_id = g.id
        join source_standing_row s on s.row_id = t.row_id
          and s.position between t.from_position and t.to_position`.execute(db)
  const found = [...rows.rows, ...(await standingOn(db, vines))]
  return found.map(({ id, at, via }) => ({ id, from: at, route: 'graft', via }))
}

/** Sources that are one of these vines. */
async function standingOn(db: Database, vines: readonly FoundVine[]): Promise<Found[]> {
  if (vines.length === 0) return []
  const rowIds = [...new Set(vines.map(({ row_id }) => row_id))]
  const rows = await sql<{ id: string; row_id: string; position: number }>`
    select source_id as id, row_id, position from source_standing_row
    where row_id = any(${rowIds}::uuid[])`.execute(db)
  if (rows.rows.length === 0) return []
  const at = new Map(vines.map((vine) => [`${vine.row_id} ${vine.position}`, vine.at]))
  return rows.rows.flatMap(({ id, row_id, position }) => {
    const reachedAt = at.get(`${row_id} ${position}`)
    return reachedAt === undefined ? [] : [{ id, at: reachedAt, via: id }]
  })
}

/**
 * Other lots that were in the same bath (by water) or place as one of `things`, at the same time or
 * after it came in, until they left. A lot that left and came back counts as there all the while:
 * what is not certain is drawn in.
 */
export async function sharedAccount(
  db: Database,
  things: readonly ReachedThing[],
  kind: 'bath' | 'place',
  route: Route,
): Promise<ReachedThing[]> {
  const rows = await sql<Found>`
    with given as (${given(things)}), own as (
      select m.account_id, g.id as via, greatest(g.at, min(m.occurred_at)) as at
      from given g join movement m on m.lot_id = g.id
      where m.account_kind = ${kind} and m.count > 0
      group by m.account_id, g.id, g.at
      having not ${isGone(sql`g.id`, sql`m.account_id`, kind, sql`g.at`)}
    ), beside as (
      select m.account_id, m.lot_id, min(m.occurred_at) filter (where m.count > 0) as in_at
      from movement m
      where m.account_kind = ${kind} and m.account_id in (select account_id from own)
      group by 1, 2
    )
    select b.lot_id as id, min(greatest(o.at, b.in_at)) as at,
      (array_agg(o.via order by o.at, o.via))[1] as via
    from own o join beside b on b.account_id = o.account_id and b.lot_id <> o.via
    where b.in_at is not null and not ${isGone(sql`b.lot_id`, sql`o.account_id`, kind, sql`o.at`)}
    group by b.lot_id`.execute(db)
  return rows.rows.map((row) => ({ id: row.id, from: row.at, route, via: row.via }))
}

/** Had all of a lot left the account before a moment, never to come back? */
function isGone(
  lotId: ReturnType<typeof sql>,
  accountId: ReturnType<typeof sql>,
  kind: 'bath' | 'place',
  at: ReturnType<typeof sql>,
) {
  return sql`(
    not exists (select 1 from movement later where later.lot_id = ${lotId}
      and later.account_kind = ${kind} and later.account_id = ${accountId}
      and later.occurred_at >= ${at})
    and coalesce((select sum(until.count) from movement until where until.lot_id = ${lotId}
      and until.account_kind = ${kind} and until.account_id = ${accountId}
      and until.occurred_at < ${at}), 0) <= 0)`
}

/** The reached things as rows (id, at). */
export function given(things: readonly ReachedThing[]) {
  return sql`select * from unnest(${things.map((thing) => thing.id)}::uuid[],
    ${things.map((thing) => thing.from.toISOString())}::timestamptz[]) as t(id, at)`
}
