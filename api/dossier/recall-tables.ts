// The tables of a recall's dossier: what was found, what is reached and how, holds, notices, gaps.
import { sql } from 'kysely'
import { formatTagCode } from '#trade/tag-code.ts'
import { localDay, writtenTime } from '#trade/zone-time.ts'
import { findAgent } from '#trade/health-agents.ts'
import type { Database } from '../../db/connect.ts'
import { readAccountNames } from '../store/account-names.ts'
import { draftNotices } from '../trace/recall-notices.ts'
import { SINCE_EVER } from '../trace/recall-spread.ts'
import type { ReachedThing } from '../trace/recall-spread.ts'
import { routeWords, sinceWords, unknownWords } from '../trace/recall-words.ts'
import { plural } from './answer.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import type { RecallScope } from './recall-scope.ts'
import { holdsThatStop, startEntries } from './recall-rules.ts'
import { reachedRows, reachedVines } from './recall-vine-tables.ts'

/** These tables in the order in which they are read. */
export async function recallTables(
  db: Database,
  facts: DossierFacts,
  scope: RecallScope,
): Promise<DossierTable[]> {
  return [
    found(facts, scope),
    unknowns(scope),
    reachedThings(facts, scope),
    await bundles(db, facts, scope),
    reachedRows(facts, scope),
    reachedVines(facts, scope),
    await holds(db, facts, scope),
    await notices(db, facts, scope),
    cameFrom(facts, scope),
  ]
}

type Row = DossierTable['rows'][number]

function found(facts: DossierFacts, { recall, startName }: RecallScope): DossierTable {
  const { question, since, tests, lots, sources, rows, vineCount } = recall
  const own = startEntries(facts)
  const clean = since.test === null ? own : facts.indexOf(since.test.entry_id)
  const known = findAgent(question.agent)
  const routes = [...recall.routes].map((route) => {
    const evidence = known === null ? 'agent not in the list' : known.routes[route]
    return `${routeWords[route]} (${evidence})`
  })
  const counts =
    `${sources.length} sources, ${lots.length} lots, ` + `${vineCount} vines in ${rows.length} rows`
  const all = tests.flatMap((test) => facts.indexOf(test.entry_id))
  const lines: [string, string, number[]][] = [
    ['Agent', question.agent, own],
    ['Found in', startName, own],
    ['Sample taken on', question.foundOn, own],
    ['Counted from', sinceWords(recall), clean.length > 0 ? clean : own],
    ['Tests that looked for it there', String(tests.length), all.length > 0 ? all : own],
    ['Ways that were followed', routes.join('; '), own],
    ['Ways are told by', known?.source ?? 'nobody: every way was followed', own],
    ['May have reached', counts, own],
    ['Entries that are counted only', String(facts.countedOnly), own],
  ]
  return {
    title: 'What was found, and what it may have reached',
    note:
      'What was in contact by the ways of this agent, from the last clean test on. It proves no ' +
      'infection. Evidence for a way: shown, plausible, or unknown, which counts as a way.',
    columns: ['What', 'As it is on record'],
    rows: lines.map(([what, is, entries]) => ({ cells: [what, is], entries })),
  }
}

function unknowns({ recall }: RecallScope): DossierTable {
  return {
    title: 'What cannot be known, and why',
    note: 'Gaps in the record. No entry tells of them: that is what makes them gaps.',
    columns: ['What cannot be known'],
    rows: recall.unknowns.map((unknown) => ({ cells: [unknownWords(unknown)], entries: [] })),
  }
}

function reachedThings(facts: DossierFacts, { recall }: RecallScope): DossierTable {
  const day = (at: Date) =>
    at.getTime() === SINCE_EVER.getTime() ? 'ever' : localDay(at.getTime(), facts.zone)
  const row = (
    kind: 'source' | 'lot',
    id: string,
    reached: ReachedThing,
    rest: { left: string; stop: { words: string; entries: number[] } },
  ): Row => ({
    cells: [
      kind,
      facts.name(id),
      routeWords[reached.route],
      reached.via === null ? 'found here' : facts.name(reached.via),
      day(reached.from),
      rest.left,
      rest.stop.words,
    ],
    entries: [
      ...facts.restsOn(kind, id),
      ...(reached.via === null ? [] : viaEntries(facts, reached, id)),
      ...rest.stop.entries,
    ],
  })
  return {
    title: 'Sources and lots that it may have reached',
    note: 'A thing counts from the day in “Since” on; what was cut or parted before is left out.',
    columns: ['What', 'Name', 'By', 'From', 'Since', 'Buds left', 'Stopped by'],
    rows: [
      ...recall.sources.map(({ source_id, reached, hold_id }) =>
        row('source', source_id, reached, {
          left: '',
          stop: hold_id === null ? unstopped : stopOf(facts, hold_id, 'its own hold'),
        }),
      ),
      ...recall.lots.map(({ lot_id, reached, buds_left }) => {
        const [hold] = holdsThatStop(facts, lot_id, recall.question.agent)
        const words =
          hold?.subjectId === lot_id
            ? 'its own hold'
            : `the hold on ${facts.name(hold?.subjectId ?? lot_id)}`
        const stop = hold === undefined ? unstopped : stopOf(facts, hold.holdId, words)
        return row('lot', lot_id, reached, { left: String(buds_left), stop })
      }),
    ],
  }
}

const unstopped = { words: 'nothing', entries: [] }

const stopOf = (facts: DossierFacts, holdId: string, words: string) => {
  return { words, entries: facts.restsOn('hold', holdId) }
}

/** By water and place: the steps by which both came to lie there. By blade: the cuts. */
function viaEntries(facts: DossierFacts, { route, via }: ReachedThing, id: string): number[] {
  const own = [...facts.restsOn('lot', via ?? ''), ...facts.restsOn('source', via ?? '')]
  if (route === 'blade') {
    const { recall } = facts.scope
    const cuts = (recall?.reach ?? []).filter(({ lot_id }) => lot_id === id || lot_id === via)
    return [...own, ...cuts.flatMap(({ entry_id }) => facts.indexOf(entry_id)).slice(0, 20)]
  }
  if (route === 'graft') return own
  const kind = route === 'water' ? 'bath' : 'place'
  const steps = facts.steps.filter(
    (step) => (step.lot_id === id || step.lot_id === via) && step.to_kind === kind,
  )
  return [...own, ...steps.flatMap((step) => facts.indexOf(step.entry_id))]
}

type BundleLine = {
  entry_id: string
  lot_id: string
  number: number
  unit: string
  count: number
  codes: string[] | null
  held: { kind: string; id: string; unit: string; count: number }[] | null
}

async function bundles(
  db: Database,
  facts: DossierFacts,
  { recall }: RecallScope,
): Promise<DossierTable> {
  const ids = recall.lots.map((lot) => lot.lot_id)
  const { rows } = await sql<BundleLine>`
    select b.entry_id, b.lot_id, b.number, b.unit, b.count,
      (select array_agg(t.code order by t.code) from tag_now t
        where t.thing_id = b.bundle_id and t.ended_how is null) as codes,
      (select json_agg(json_build_object('kind', h.account_kind, 'id', h.account_id,
          'unit', h.unit, 'count', h.count)) from balance h
        where h.lot_id = b.lot_id and h.bundle_id = b.bundle_id and h.count > 0
          and h.account_kind in ('place', 'bath', 'holder', 'unknown')) as held
    from bundle_first b where b.lot_id = any(${ids}::uuid[])
    order by b.lot_id, b.number`.execute(db)
  const accounts = rows.flatMap(({ held }) => held ?? [])
  const account = await readAccountNames(db, accounts, facts.zone)
  return {
    title: 'Bundles of the lots that it may have reached',
    note: 'With the tags that stand for them, and where the wood is by the record.',
    columns: ['Lot', 'Bundle', 'Tied as', 'Tags', 'Where it is'],
    rows: rows.map((bundle) => ({
      cells: [
        facts.name(bundle.lot_id),
        String(bundle.number),
        plural(bundle.count, bundle.unit),
        (bundle.codes ?? []).map((code) => formatTagCode(code)).join(', ') || 'none',
        (bundle.held ?? [])
          .map((one) => `${account(one)}: ${plural(one.count, one.unit)}`)
          .join('; ') || 'nothing is left, or not recorded by bundle',
      ],
      entries: facts.indexOf(bundle.entry_id),
    })),
  }
}

type HoldLine = {
  entry_id: string
  hold_id: string
  on_id: string
  on_kind: string
  agent: string | null
  reason: string
  person_id: string
  placed_at: Date
  lifted_at: Date | null
}

async function holds(
  db: Database,
  facts: DossierFacts,
  { recall }: RecallScope,
): Promise<DossierTable> {
  const ids = [
    ...recall.lots.map((lot) => lot.lot_id),
    ...recall.sources.map((source) => source.source_id),
  ]
  const reaching = [...facts.lotFacts.values()].flatMap((lot) =>
    lot.known ? lot.holds.map(({ holdId }) => holdId) : [],
  )
  const { rows } = await sql<HoldLine>`
    select h.entry_id, h.hold_id, h.on_id, h.on_kind, h.agent, h.reason, h.person_id, h.placed_at,
      (select min(l.lifted_at) from hold_lift l where l.hold_id = h.hold_id) as lifted_at
    from hold h where h.on_id = any(${ids}::uuid[]) or h.hold_id = any(${reaching}::uuid[])
    order by h.placed_at, h.entry_id`.execute(db)
  const when = (at: Date) => writtenTime(at.getTime(), facts.zone)
  return {
    title: 'Holds on it',
    note: 'Placed on what is reached, or reaching it from what it came of or touched.',
    columns: ['On', 'Agent', 'Reason', 'Placed', 'By', 'Lifted'],
    rows: rows.map((hold) => ({
      cells: [
        `${hold.on_kind} ${facts.name(hold.on_id)}`,
        hold.agent ?? 'any',
        hold.reason,
        when(hold.placed_at),
        facts.name(hold.person_id),
        hold.lifted_at === null ? 'stands' : when(hold.lifted_at),
      ],
      entries: facts.restsOn('hold', hold.hold_id),
    })),
  }
}

async function notices(
  db: Database,
  facts: DossierFacts,
  { recall }: RecallScope,
): Promise<DossierTable> {
  const drafts = await draftNotices(db, recall, facts.nursery?.name ?? 'our nursery')
  return {
    title: 'Notices drafted',
    note:
      'Drafts that this program wrote from the record on the day of this dossier. It has sent ' +
      'none, and keeps no word of whether a person did. Who must be told, and how fast, is said ' +
      'by the plant-health law of the country and by the certification scheme.',
    columns: ['To', 'As', 'Text'],
    rows: drafts.map(({ to, role, text, partyId }) => ({
      cells: [to, role, text.trimEnd()],
      entries: [...facts.restsOn('nursery', 'nursery'), ...facts.restsOn('party', partyId)],
    })),
  }
}

function cameFrom(facts: DossierFacts, { recall }: RecallScope): DossierTable {
  const { sources, lots } = recall.upstream
  return {
    title: 'Where it may have come from',
    note:
      'What that in which it was found is made of. If one of these has it, a recall from there ' +
      'reaches further.',
    columns: ['What', 'Name'],
    rows: [
      ...sources.map(({ source_id, name }) => ({
        cells: ['source', name],
        entries: facts.restsOn('source', source_id),
      })),
      ...lots.map(({ lot_id, reference }) => ({
        cells: ['lot', reference],
        entries: facts.restsOn('lot', lot_id),
      })),
    ],
  }
}
