// Reads what the rules and tables of a dossier are worked out from, for one scope.
import { sql } from 'kysely'
import type { LotFacts } from '#trade/lot-facts.ts'
import type { SourceRuleFacts } from '#trade/schemes/rule-results.ts'
import type { OwnRule } from '#trade/schemes/schemes.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import { walkUp } from '../lots/upstream.ts'
import { readNursery } from '../nursery/read.ts'
import type { NurseryProfile } from '../nursery/read.ts'
import { readInspections } from '../sources/inspections.ts'
import type { InspectionRow } from '../sources/inspections.ts'
import { readOwnRules, readRuleFacts } from '../sources/rule-facts.ts'
import type { CarriedEntries, DossierEntry } from './entries.ts'
import type { Ground } from './ground.ts'
import { readFindings } from './open-questions.ts'
import type { FindingLine } from './open-questions.ts'
import type { DossierScope } from './scope.ts'
import type { Support } from './support.ts'
import type { JudgedDays } from './warmth.ts'

/** A health test of a source in question. */
export type TestLine = {
  entry_id: string
  source_id: string
  agent: string
  method: string
  laboratory: string
  sampled_on: string
  pooled_vines: number
  result: string
  sample_reference: string | null
}

/** One step of custody of a lot: what left which accounts for which others, in one entry. */
export type StepLine = {
  entry_id: string
  lot_id: string
  occurred_at: Date
  kind: string
  journal_index: number
  person_id: string
  device_id: string
  sticks: number
  buds: number
  from_kind: string
  from_id: string
  to_kind: string
  to_id: string
}

export type StandingLine = {
  entry_id: string
  source_id: string
  standing: string
  effective_from: string
  reason: string
}
export type TreatmentLine = { entry_id: string; lot_id: string; kind: string; occurred_at: Date }
export type DossierFacts = {
  scope: DossierScope
  entries: readonly DossierEntry[]
  /** Entries that tell of the subject and are not carried, only counted. */
  countedOnly: number
  indexOf: (entryId: string) => number[]
  /** Indexes of the entries that tell this of a thing. */
  restsOn: (what: Support, key: string) => number[]
  name: (id: string) => string
  zone: string
  nursery: NurseryProfile | null
  lotFacts: Map<string, LotFacts>
  /** For each lot every lot and source that it came of, itself included. */
  cameOf: Map<string, string[]>
  standings: StandingLine[]
  tests: TestLine[]
  inspections: InspectionRow[]
  /** What schemes look at, by source. */
  ruleFacts: Map<string, SourceRuleFacts>
  ownRules: OwnRule[]
  steps: StepLine[]
  audit: Ground['audit']
  treatments: TreatmentLine[]
  /** By lot, how much of it was set on the vines that this is about, in buds. */
  setHere: Map<string, number>
  findings: FindingLine[]
  judged: JudgedDays
}

/** Reads it all, as the records stand now. */
export async function readDossierFacts(
  db: Database,
  scope: DossierScope,
  carried: CarriedEntries,
  ground: Ground,
): Promise<DossierFacts> {
  const { entries, countedOnly } = carried
  const { zone, lotFacts, supports, judged, audit } = ground
  const lotIds = scope.lots.map((lot) => lot.lot_id)
  const sourceIds = scope.sources.map((source) => source.source_id)
  const [nursery, standings, tests, inspections, steps, treatments, setHere] = await Promise.all([
    readNursery(db),
    readStandings(db, sourceIds),
    readTests(db, sourceIds),
    readInspections(db, sourceIds),
    readSteps(db, lotIds),
    readTreatments(db, lotIds),
    readSetHere(db, scope),
  ])
  const indexes = new Map(entries.map(({ id, index }) => [id, index]))
  const indexOf = (entryId: string) => {
    const index = indexes.get(entryId)
    return index === undefined ? [] : [index]
  }
  const restsOn = (what: Support, key: string) => supports.of(what, key).flatMap(indexOf)
  const names = await readNames(db, idsNamed(scope, entries, steps))
  return {
    scope,
    entries,
    countedOnly,
    indexOf,
    restsOn,
    name: (id) => names.get(id) ?? 'not registered here',
    zone,
    nursery,
    lotFacts,
    cameOf: await walkUp(db, lotIds),
    standings,
    tests,
    inspections,
    ruleFacts: await readRuleFacts(db, sourceIds, zone),
    ownRules: await readOwnRules(db),
    steps,
    audit,
    treatments,
    setHere,
    findings: await readFindings(db, scope, { entries, indexOf, restsOn, steps }),
    judged,
  }
}

const idPattern = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g

/** Every id that stands in the entries or the steps; names are told for those that have one. */
function idsNamed(
  scope: DossierScope,
  entries: readonly DossierEntry[],
  steps: readonly StepLine[],
): Set<string> {
  const ids = new Set<string>(scope.rows.keys())
  for (const { lot_id } of scope.lots) ids.add(lot_id)
  for (const { source_id } of scope.sources) ids.add(source_id)
  for (const { canonical } of entries) {
    for (const id of canonical.toString('utf8').match(idPattern) ?? []) ids.add(id)
  }
  for (const step of steps) for (const id of [step.from_id, step.to_id]) ids.add(id)
  return ids
}

async function readStandings(db: Database, ids: string[]): Promise<StandingLine[]> {
  const { rows } = await sql<StandingLine>`
    select entry_id, source_id, standing, effective_from, reason from source_standing
    where source_id = any(${ids}::uuid[])
    order by source_id, effective_from, occurred_at`.execute(db)
  return rows
}

async function readTests(db: Database, ids: string[]): Promise<TestLine[]> {
  const { rows } = await sql<TestLine>`
    select entry_id, source_id, agent, method, laboratory, sampled_on, pooled_vines, result,
      sample_reference
    from source_test where source_id = any(${ids}::uuid[])
    order by source_id, agent, sampled_on, occurred_at`.execute(db)
  return rows
}

/** Steps between accounts; what was set on vines is told with the vines. */
async function readSteps(db: Database, lotIds: string[]): Promise<StepLine[]> {
  const { rows } = await sql<StepLine>`
    with step as (
      select m.entry_id, m.lot_id,
        sum(m.count) filter (where m.count > 0 and m.unit = 'stick') as sticks,
        sum(m.count) filter (where m.count > 0 and m.unit = 'bud') as buds,
        (array_agg(m.account_kind order by m.count))[1] as from_kind,
        (array_agg(m.account_id order by m.count))[1] as from_id,
        (array_agg(m.account_kind order by m.count desc))[1] as to_kind,
        (array_agg(m.account_id order by m.count desc))[1] as to_id
      from movement m where m.lot_id = any(${lotIds}::uuid[])
        and not exists (select 1 from graft g where g.entry_id = m.entry_id)
      group by m.entry_id, m.lot_id
    )
    select s.entry_id, s.lot_id, e.occurred_at, e.kind, e.journal_index, e.person_id, e.device_id,
      coalesce(s.sticks, 0)::bigint as sticks, coalesce(s.buds, 0)::bigint as buds,
      s.from_kind, s.from_id, s.to_kind, s.to_id
    from step s join entry e on e.id = s.entry_id
    order by e.occurred_at, e.journal_index`.execute(db)
  return rows
}

async function readTreatments(db: Database, lotIds: string[]): Promise<TreatmentLine[]> {
  const { rows } = await sql<TreatmentLine>`
    select distinct e.id as entry_id, s.subject_id as lot_id, e.kind, e.occurred_at
    from entry_subject s join entry e on e.id = s.entry_id
    where s.subject_id = any(${lotIds}::uuid[])
      and e.kind in ('treatment.done', 'soak.began', 'soak.ended', 'check.viability',
        'check.moisture')
    order by e.occurred_at`.execute(db)
  return rows
}

/** The grafts that a scope is about. */
export function graftsHere({ grafts, recall }: DossierScope): { entryId: string; lotId: string }[] {
  if (recall !== null) {
    return recall.reach.map(({ entry_id, lot_id }) => ({ entryId: entry_id, lotId: lot_id }))
  }
  return grafts.map(({ graft_id, lot_id }) => ({ entryId: graft_id, lotId: lot_id }))
}

async function readSetHere(db: Database, scope: DossierScope): Promise<Map<string, number>> {
  const ids = graftsHere(scope).map(({ entryId }) => entryId)
  const { rows } = await sql<{ lot_id: string; buds: number }>`
    select m.lot_id, sum(m.count * case m.unit when 'stick'
      then greatest(coalesce(l.buds_per_stick, 1), 1) else 1 end)::int as buds
    from movement m left join lot_first l on l.lot_id = m.lot_id
    where m.account_kind = 'vine' and m.entry_id = any(${ids}::uuid[])
    group by 1`.execute(db)
  return new Map(rows.map(({ lot_id, buds }) => [lot_id, buds]))
}
