// Reads what a scheme's rules look at, source by source, and the rules that the nursery has set.
import { sql } from 'kysely'
import type { SourceRuleFacts, SourceTestFact } from '#trade/schemes/rule-results.ts'
import type { OwnRule } from '#trade/schemes/schemes.ts'
import type { Database } from '../../db/connect.ts'
import { readInspections } from './inspections.ts'

type SourceRow = {
  source_id: string
  parent_source_id: string | null
  scheme: string | null
  class: string | null
  origin_lot_id: string | null
  origin_class: string | null
  topworked_on: string | null
}

type TestRow = { source_id: string; agent: string; sampled_on: string; result: string }

/** The facts of each registered source; days are days in `zone`. */
export async function readRuleFacts(
  db: Database,
  sourceIds: readonly string[],
  zone: string,
): Promise<Map<string, SourceRuleFacts>> {
  const ids = [...sourceIds]
  const sources = await readSourceRows(db, ids, zone)
  const tested = [...ids, ...sources.flatMap((source) => source.parent_source_id ?? [])]
  const { rows: tests } = await sql<TestRow>`
    select source_id, agent, sampled_on, result from source_test
    where source_id = any(${tested}::uuid[])`.execute(db)
  const inspections = await readInspections(db, ids)
  const testsOf = (id: string | null): SourceTestFact[] =>
    tests
      .filter((test) => test.source_id === id)
      .map(({ agent, sampled_on: sampledOn, result }) => ({ agent, sampledOn, result }))
  return new Map(
    sources.map((source) => [
      source.source_id,
      {
        scheme: source.scheme,
        className: source.class,
        tests: testsOf(source.source_id),
        blockTests: testsOf(source.parent_source_id),
        inspections: inspections
          .filter(({ source_id }) => source_id === source.source_id)
          .map((seen) => ({
            inspectedOn: seen.inspected_on,
            result: seen.result,
            isolationMetres: seen.isolation_metres,
            nearby: seen.nearby,
          })),
        grownFrom: source.origin_lot_id === null ? null : { className: source.origin_class },
        topworkedOn: source.topworked_on,
      },
    ]),
  )
}

/** A block is topworked when one of its registered vines is. */
async function readSourceRows(db: Database, ids: string[], zone: string): Promise<SourceRow[]> {
  const { rows } = await sql<SourceRow>`
    select s.source_id, s.parent_source_id, s.scheme, s.class, s.origin_lot_id,
      l.class as origin_class,
      (select max((g.grafted_at at time zone ${zone})::date)::text
        from source_standing_row v join graft g on g.row_id = v.row_id and g.position = v.position
        where v.source_id = s.source_id or v.parent_source_id = s.source_id) as topworked_on
    from source_standing_row s left join lot_first l on l.lot_id = s.origin_lot_id
    where s.source_id = any(${ids}::uuid[])`.execute(db)
  return rows
}

/** The rules that stand: the latest for each scheme, topic and class that was not taken away. */
export async function readOwnRules(db: Database): Promise<OwnRule[]> {
  const { rows } = await sql<OwnRule>`
    select id, scheme, topic, "className", amount, citation from (
      select distinct on (lower(scheme), topic, lower(coalesce(class, ''))) entry_id as id, scheme,
        topic, class as "className", amount, citation
      from scheme_rule
      order by lower(scheme), topic, lower(coalesce(class, '')), occurred_at desc, entry_id desc
    ) latest where amount is not null order by lower(scheme), topic, "className"`.execute(db)
  return rows
}
