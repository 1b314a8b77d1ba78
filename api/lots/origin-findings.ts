// What the records can show to be wrong between a lot and what it came of.
import { sql } from 'kysely'
import type { RawBuilder } from 'kysely'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

/** The lots in question as their first making says. */
const known = (ids: unknown) => sql`
  select distinct on (lot_id) * from lot
  where lot_id = any(${ids}) order by lot_id, occurred_at, entry_id, line`

/**
 * The ways in which `here` differs from `there`, as a JSON list. Where nothing is stated on one
 * side, `strictly` says whether that is a difference.
 */
function differences(columns: readonly string[], strictly: boolean): RawBuilder<unknown> {
  const one = columns.map((column) => {
    const [here, there] = [sql.ref(`here.${column}`), sql.ref(`there.${column}`)]
    const differs = strictly
      ? sql`${here} is distinct from ${there}`
      : sql`${here} is not null and ${there} is not null and ${here} <> ${there}`
    const what = column === 'variety_id' ? 'variety' : column.replaceAll('_', ' ')
    return sql`select ${what}::text as what, ${here}::text as here, ${there}::text as there
      where ${differs}`
  })
  const all = sql.join(one, sql` union all `)
  return sql`(select jsonb_agg(to_jsonb(d) order by d.what) from (${all}) d)`
}

/** A source is compared by its last registration, which may put an earlier one right. */
const cutDiffersFromSource = rule(
  'cut_differs_from_source',
  'lot',
  'lot_id',
  (ids) => sql`
    with here as (${known(ids)}), compared as (
      select here.lot_id, here.source_id,
        ${differences(['variety_id', 'clone', 'scheme', 'class'], false)} as differs
      from here cross join lateral (
        select * from source s where s.source_id = here.source_id
        order by s.occurred_at desc, s.entry_id desc limit 1
      ) there
    )
    select * from compared where differs is not null`,
  ['source_id'],
)

const parentColumns = ['material', 'variety_id', 'clone', 'scheme', 'class', 'harvest_year']

const likeParents = (ids: unknown, madeBy: 'split' | 'combined', columns: readonly string[]) => sql`
  with here as (${known(ids)}), compared as (
    select distinct here.lot_id, p.parent_lot_id, ${differences(columns, true)} as differs
    from here join lot_parent p on p.lot_id = here.lot_id
      cross join lateral (
        select * from lot l where l.lot_id = p.parent_lot_id
        order by l.occurred_at, l.entry_id, l.line limit 1
      ) there
    where here.made_by = ${madeBy}
  )
  select * from compared where differs is not null`

const splitDiffersFromParent = rule(
  'split_differs_from_parent',
  'lot',
  'lot_id',
  (ids) => likeParents(ids, 'split', parentColumns),
  ['parent_lot_id'],
)

/** Wood of several years may be combined; of several varieties, clones or classes it may not. */
const combinedDiffersFromParent = rule(
  'combined_differs_from_parent',
  'lot',
  'lot_id',
  (ids) => likeParents(ids, 'combined', parentColumns.slice(0, -1)),
  ['parent_lot_id'],
)

const lotInCircle = rule('lot_in_circle', 'lot', 'lot_id', (ids) => {
  return sql`
    with recursive up(root, id) as (
      select p.lot_id, p.parent_lot_id from lot_parent p where p.lot_id = any(${ids})
      union
      select up.root, p.parent_lot_id from up join lot_parent p on p.lot_id = up.id
    ), circled as (select root from up where root = id)
    select c.root as lot_id, array_agg(distinct p.parent_lot_id order by p.parent_lot_id) as parents
    from circled c join lot_parent p on p.lot_id = c.root group by c.root`
})

const lotOfUnknownSource = rule(
  'lot_of_unknown_source',
  'lot',
  'lot_id',
  (ids) => sql`
    select distinct l.lot_id, l.source_id from lot l
    where l.lot_id = any(${ids}) and l.source_id is not null
      and not exists (select 1 from source s where s.source_id = l.source_id)`,
  ['source_id'],
)

/** Lots cut, with the source they were cut from and the block that it stands in. */
const cutFrom = (ids: unknown) => sql`
  cut as (
    select l.lot_id, l.source_id, l.occurred_at from (${known(ids)}) l
    where l.made_by = 'cut'
  ), cut_from as (
    select * from cut
    union
    select cut.lot_id, block.id, cut.occurred_at
    from cut cross join lateral (
      select s.parent_source_id as id from source s where s.source_id = cut.source_id
      order by s.occurred_at desc, s.entry_id desc limit 1
    ) block
    where block.id is not null
  )`

/** Of changes on the same day the worst counts, as in judgement. Days are those of UTC. */
const sourceNotGoodAtCut = rule(
  'source_not_good_at_cut',
  'lot',
  'lot_id',
  (ids) => sql`
    with ${cutFrom(ids)}
    select c.lot_id, c.source_id, s.standing, s.effective_from::text as since,
      ${isoTime('c.occurred_at')} as cut_at
    from cut_from c cross join lateral (
      select t.standing, t.effective_from from source_standing t
      where t.source_id = c.source_id
        and t.effective_from <= (c.occurred_at at time zone 'UTC')::date
      order by t.effective_from desc,
        array_position(array['withdrawn', 'suspended', 'good'], t.standing) limit 1
    ) s
    where s.standing <> 'good'`,
  ['source_id'],
)

/** The last test for each agent, sampled by the day of the cut, had found it. */
const cutFromPositiveSource = rule(
  'cut_from_positive_source',
  'lot',
  'lot_id',
  (ids) => sql`
    with ${cutFrom(ids)}, tested as (
      select distinct on (c.lot_id, c.source_id, t.agent) c.lot_id, c.source_id, t.agent,
        t.sampled_on, t.result, c.occurred_at
      from cut_from c join source_test t on t.source_id = c.source_id
        and t.sampled_on <= (c.occurred_at at time zone 'UTC')::date
      order by c.lot_id, c.source_id, t.agent, t.sampled_on desc, t.result = 'detected' desc
    ), positive as (
      select distinct on (lot_id, source_id) * from tested
      where result = 'detected' order by lot_id, source_id, agent
    )
    select lot_id, source_id, agent, sampled_on::text as sampled_on,
      ${isoTime('occurred_at')} as cut_at
    from positive`,
  ['source_id'],
)

export const originFindings: FindingRule[] = [
  cutDiffersFromSource,
  splitDiffersFromParent,
  combinedDiffersFromParent,
  lotInCircle,
  lotOfUnknownSource,
  sourceNotGoodAtCut,
  cutFromPositiveSource,
]
