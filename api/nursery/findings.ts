// What the records can show to be wrong about rows, their vines and what was set on them.
import { sql } from 'kysely'
import type { RawBuilder } from 'kysely'
import { DEFAULT_POLICIES } from '#trade/policy-defaults.ts'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule, RuleOf } from '../journal/finding-rule.ts'
import type { Difference } from '../journal/finding-codes.ts'

/** Rows in question by their last layout. */
const laidOut = (ids: unknown) => sql`
  select distinct on (row_id) * from block_row
  where row_id = any(${ids}) order by row_id, occurred_at desc, entry_id desc`

/** Every entry that names a position of a row. */
const atPositions = (condition: RawBuilder<unknown>) => sql`
  select entry_id, row_id, position from graft t where ${condition}
  union all select entry_id, row_id, position from vine_skip t where ${condition}
  union all select entry_id, row_id, position from take_check t where ${condition}
  union all select entry_id, row_id, position from vine_change t where ${condition}`

const rowUnknown = rule('row_unknown', 'row', 'row_id', (ids) => {
  return sql`
    with strange as materialized (
      select id from unnest(${ids}) as id
      where not exists (select 1 from block_row r where r.row_id = id)
    ), named as (
      select n.row_id, n.entry_id
      from strange s cross join lateral (${atPositions(sql`t.row_id = s.id`)}) n
      union all
      select p.row_id, p.entry_id from strange s join row_plan p on p.row_id = s.id
    )
    select row_id, count(distinct entry_id)::int as entries from named group by row_id`
})

const positionBeyondRow = rule(
  'position_beyond_row',
  'row',
  'row_id',
  (ids) => sql`
    with r as (${laidOut(ids)})
    select n.row_id, n.position, r.position_count as positions,
      count(distinct n.entry_id)::int as entries
    from r cross join lateral (
      ${atPositions(sql`t.row_id = r.row_id and t.position > r.position_count`)}
    ) n
    group by 1, 2, 3`,
  ['position'],
)

/**
 * A vine stands unless the last statement before the graft says otherwise: a layout in which it is
 * missing, or its removal. Before any statement the first layout counts. A later layout that has
 * the vine puts an earlier one right.
 */
const graftedWhereNoVine = rule(
  'grafted_where_no_vine',
  'row',
  'row_id',
  (ids) => sql`
    with suspect as (
      select row_id, unnest(missing) as position from block_row where row_id = any(${ids})
      union
      select row_id, position from vine_change
      where row_id = any(${ids}) and what = 'removed'
    ), judged as (
      select g.row_id, g.position, g.grafted_at, coalesce(before.stands, first.stands, true)
        or (coalesce(before.by_layout, true) and exists (
          select 1 from block_row later
          where later.row_id = g.row_id and not g.position = any(later.missing)
            and later.occurred_at > coalesce(before.occurred_at, first.occurred_at)
        )) as stands
      from suspect s join graft g on g.row_id = s.row_id and g.position = s.position
        left join lateral (
          select * from (
            select occurred_at, entry_id, not g.position = any(missing) as stands,
              true as by_layout
            from block_row where row_id = g.row_id and occurred_at <= g.grafted_at
            union all
            select occurred_at, entry_id, what = 'planted', false from vine_change
            where row_id = g.row_id and position = g.position and occurred_at <= g.grafted_at
          ) told order by occurred_at desc, entry_id desc limit 1
        ) before on true
        left join lateral (
          select occurred_at, not g.position = any(missing) as stands from block_row
          where row_id = g.row_id order by occurred_at, entry_id limit 1
        ) first on true
    ), wrong as (
      select row_id, position, count(*)::int as grafts, min(grafted_at) as first
      from judged where not stands group by 1, 2
    )
    select row_id, position, grafts, ${isoTime('first')} as first_at from wrong`,
  ['position'],
)

type PlannedLot = {
  row_id: string
  lot_id: string
  season: number
  vines: number
  first_position: number
  last_position: number
  scheme: string | null
  planned: Record<'variety' | 'clone' | 'class', string | null>
  set: Record<'variety' | 'clone' | 'class', string | null>
}

/**
 * Grafts against the last plan for the position and the season, which is the calendar year of the
 * graft in UTC: seasons of grafting lie within one year north of the equator. What a plan or a lot
 * does not state is no difference, and neither is a stricter class than the plan asks for.
 */
const differsFromPlan: RuleOf<'differs_from_plan'> = {
  code: 'differs_from_plan',
  scope: 'row',
  async find(trx, ids) {
    const rows = await sql<PlannedLot>`
      with planned as (
        select g.row_id, g.lot_id, g.position, p.season, p.variety_id, p.clone, p.class
        from graft g cross join lateral (
          select * from row_plan p
          where p.row_id = g.row_id
            and p.season = extract(year from g.grafted_at at time zone 'UTC')
            and g.position between p.from_position and p.to_position
          order by p.occurred_at desc, p.entry_id desc limit 1
        ) p
        where g.row_id = any(${ids}::uuid[])
      ), grouped as (
        select row_id, lot_id, season, variety_id, clone, class,
          count(distinct position)::int as vines, min(position) as first_position,
          max(position) as last_position
        from planned group by 1, 2, 3, 4, 5, 6
      )
      select g.row_id, g.lot_id, g.season, g.vines, g.first_position, g.last_position, l.scheme,
        jsonb_build_object('variety', g.variety_id, 'clone', g.clone, 'class', g.class) as planned,
        jsonb_build_object('variety', l.variety_id, 'clone', l.clone, 'class', l.class) as set
      from grouped g cross join lateral (
        select * from lot l where l.lot_id = g.lot_id
        order by l.occurred_at, l.entry_id, l.line limit 1
      ) l
      where l.variety_id <> g.variety_id or l.clone <> g.clone or l.class <> g.class
      order by g.row_id, g.lot_id, g.season, g.first_position, g.variety_id, g.clone, g.class
    `.execute(trx)
    return foldPlans(rows.rows)
  },
}

/** One finding for a row, a lot and a season, however many plans it differs from. */
function foldPlans(rows: PlannedLot[]): Awaited<ReturnType<typeof differsFromPlan.find>> {
  const byKey = new Map<string, Awaited<ReturnType<typeof differsFromPlan.find>>[number]>()
  for (const row of rows) {
    const differs = planDifferences(row)
    if (differs.length === 0) continue
    const { row_id, lot_id, season, vines, first_position, last_position } = row
    const subject = `${row_id}:${lot_id}:${season}`
    const before = byKey.get(subject)?.facts
    const facts = {
      row_id,
      lot_id,
      season,
      vines: vines + (before?.vines ?? 0),
      first_position: Math.min(first_position, before?.first_position ?? first_position),
      last_position: Math.max(last_position, before?.last_position ?? last_position),
      differs: withoutRepeats([...(before?.differs ?? []), ...differs]),
    }
    byKey.set(subject, { scopeId: row_id, subject, facts })
  }
  return [...byKey.values()]
}

function withoutRepeats(differs: Difference[]): Difference[] {
  return [...new Map(differs.map((one) => [JSON.stringify(one), one])).values()]
}

function planDifferences({ planned, set, scheme }: PlannedLot): Difference[] {
  return (['variety', 'clone', 'class'] as const).flatMap((what) => {
    const [here, there] = [set[what], planned[what]]
    if (here === null || there === null || here === there) return []
    if (what === 'class' && isStricter(here, there, scheme)) return []
    return [{ what, here, there }]
  })
}

/** By the published ladders: what a nursery sets for itself is no ground for a finding. */
function isStricter(actual: string, planned: string, scheme: string | null): boolean {
  const ladder = DEFAULT_POLICIES.classLadder.value.find((entry) => entry.scheme === scheme)
  if (ladder === undefined) return false
  const [one, other] = [ladder.classes.indexOf(actual), ladder.classes.indexOf(planned)]
  return one >= 0 && other >= 0 && one < other
}

/** Rows that are in the block by their last layout. */
const inBlock = (ids: unknown) => sql`
  select * from block_row r
  where r.block_id = any(${ids}) and not exists (
    select 1 from block_row later where later.row_id = r.row_id
      and (later.occurred_at, later.entry_id) > (r.occurred_at, r.entry_id)
  )`

const twoRowsOneLabel = rule(
  'two_rows_one_label',
  'block',
  'block_id',
  (ids) => sql`
    select block_id, label, array_agg(row_id order by row_id) as rows
    from (${inBlock(ids)}) r group by 1, 2 having count(*) > 1`,
  ['label'],
)

const blockUnknown = rule('block_unknown', 'block', 'block_id', (ids) => {
  return sql`
    select r.block_id, array_agg(r.row_id order by r.row_id) as rows from (${inBlock(ids)}) r
    where not exists (select 1 from block b where b.block_id = r.block_id) group by r.block_id`
})

export const rowFindings: FindingRule[] = [
  rowUnknown,
  positionBeyondRow,
  graftedWhereNoVine,
  differsFromPlan,
  twoRowsOneLabel,
  blockUnknown,
]
