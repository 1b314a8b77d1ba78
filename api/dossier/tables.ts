// The tables of a dossier: origin, tests, custody, treatments, vines, balance, open questions.
import { localDay, writtenTime } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { readAccountNames } from '../store/account-names.ts'
import { custodyAuditTables } from './custody-audit.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import { recallTables } from './recall-tables.ts'
import { storageTables } from './storage-tables.ts'
import { vineTables } from './vine-tables.ts'

/** After so many minutes between doing and recording both times are shown. */
const LATE_MINUTES = 5

/** All tables in the order in which they are read; empty ones say so. */
export async function dossierTables(db: Database, facts: DossierFacts): Promise<DossierTable[]> {
  const { recall } = facts.scope
  return [
    ...(recall === null ? [] : await recallTables(db, facts, recall)),
    lots(facts),
    sources(facts),
    tests(facts),
    inspections(facts),
    standings(facts),
    await custody(db, facts),
    ...custodyAuditTables(facts),
    treatments(facts),
    ...(recall === null ? [...storageTables(facts), ...vineTables(facts)] : []),
    questions(facts),
    entryList(facts),
  ]
}

const timeOf = (at: Date, zone: string) => writtenTime(at.getTime(), zone)
const or = (text: string | null, other = 'not on record') => text ?? other

function lots(facts: DossierFacts): DossierTable {
  const { scope, zone } = facts
  return {
    title: 'Lots that it is made of',
    note: 'The lots themselves and every lot upstream of them.',
    columns: ['Lot', 'Made', 'On', 'Variety', 'Clone', 'Class', 'Source', 'On hold'],
    rows: scope.lots.map((lot) => ({
      cells: [
        lot.reference,
        lot.made_by,
        localDay(lot.made_at.getTime(), zone),
        or(lot.variety),
        or(lot.clone, ''),
        or(lot.class),
        lot.source_id === null
          ? lot.made_by === 'cut'
            ? 'unknown'
            : ''
          : facts.name(lot.source_id),
        lot.held ? 'yes' : 'no',
      ],
      entries: facts.restsOn('lot', lot.lot_id),
    })),
  }
}

function sources(facts: DossierFacts): DossierTable {
  return {
    title: 'Sources',
    note: 'Source blocks and vines that the wood was cut from, as registered now.',
    columns: [
      'Source',
      'Is a',
      'Registry number',
      'Variety',
      'Clone',
      'Scheme',
      'Class',
      'On hold',
    ],
    rows: facts.scope.sources.map((source) => ({
      cells: [
        source.name,
        source.level,
        or(source.registry_number),
        or(source.variety),
        or(source.clone, ''),
        or(source.scheme),
        or(source.class),
        source.held ? 'yes' : 'no',
      ],
      entries: facts.restsOn('source', source.source_id),
    })),
  }
}

function tests(facts: DossierFacts): DossierTable {
  return {
    title: 'Health tests of the sources',
    note: 'All that are on record, before and after the wood was cut.',
    columns: ['Source', 'Agent', 'Sampled', 'Result', 'Method', 'Laboratory', 'Vines', 'Sample'],
    rows: facts.tests.map((test) => ({
      cells: [
        facts.name(test.source_id),
        test.agent,
        test.sampled_on,
        test.result,
        test.method,
        test.laboratory,
        test.pooled_vines === 1 ? 'single' : `pool of ${test.pooled_vines}`,
        or(test.sample_reference, ''),
      ],
      entries: facts.indexOf(test.entry_id),
    })),
  }
}

function inspections(facts: DossierFacts): DossierTable {
  return {
    title: 'Inspections of the sources',
    note: 'What somebody saw of a source, and who.',
    columns: ['Source', 'Looked at', 'What', 'By', 'Result', 'Isolation, m', 'Near it', 'Note'],
    rows: facts.inspections.map((seen) => ({
      cells: [
        facts.name(seen.source_id),
        seen.inspected_on,
        seen.kind,
        seen.party ?? 'the nursery itself',
        seen.result,
        seen.isolation_metres === null ? '' : String(seen.isolation_metres),
        seen.nearby,
        seen.note,
      ],
      entries: facts.indexOf(seen.entry_id),
    })),
  }
}

function standings(facts: DossierFacts): DossierTable {
  return {
    title: 'Changes of standing',
    note: 'A registered source is in good standing until an entry says otherwise.',
    columns: ['Source', 'From', 'Standing', 'Reason'],
    rows: facts.standings.map((line) => ({
      cells: [facts.name(line.source_id), line.effective_from, line.standing, line.reason],
      entries: facts.indexOf(line.entry_id),
    })),
  }
}

async function custody(db: Database, facts: DossierFacts): Promise<DossierTable> {
  const { told, more } = carriedOnly(facts, facts.steps)
  const accounts = told.flatMap((step) => [
    { kind: step.from_kind, id: step.from_id },
    { kind: step.to_kind, id: step.to_id },
  ])
  const account = await readAccountNames(db, accounts, facts.zone)
  const recorded = new Map(facts.entries.map(({ index, recordedAt }) => [index, recordedAt]))
  return {
    title: 'Custody, step by step',
    note:
      `Times are those of ${facts.zone}, by the clock of whoever recorded; where the server ` +
      `recorded it more than ${LATE_MINUTES} minutes later, both stand. What was set on vines is ` +
      `told with the vines.${more}`,
    columns: ['When', 'Lot', 'What', 'From', 'To', 'Sticks', 'Buds', 'By'],
    rows: told.map((step) => ({
      cells: [
        whenBoth(step.occurred_at, recorded.get(step.journal_index), facts.zone),
        facts.name(step.lot_id),
        step.kind.replaceAll(/[._]/g, ' '),
        account({ kind: step.from_kind, id: step.from_id }),
        account({ kind: step.to_kind, id: step.to_id }),
        String(step.sticks),
        String(step.buds),
        facts.name(step.person_id),
      ],
      entries: [
        ...facts.indexOf(step.entry_id),
        ...[step.from_id, step.to_id].flatMap((id) => [
          ...facts.restsOn('place', id),
          ...facts.restsOn('party', id),
        ]),
      ],
    })),
  }
}

/** Lines whose entries are carried; of a thing these are all. */
function carriedOnly<T extends { entry_id: string }>(
  facts: DossierFacts,
  lines: readonly T[],
): { told: readonly T[]; more: string } {
  const told = lines.filter(({ entry_id }) => facts.indexOf(entry_id).length > 0)
  const rest = lines.length - told.length
  const more = rest === 0 ? '' : ` ${rest} more are counted only: their entries are not carried.`
  return { told, more }
}

function whenBoth(at: Date, recordedAt: string | undefined, zone: string): string {
  const told = timeOf(at, zone)
  if (recordedAt === undefined) return told
  const late = (Date.parse(recordedAt) - at.getTime()) / 60_000
  return late <= LATE_MINUTES ? told : `${told} (recorded ${timeOf(new Date(recordedAt), zone)})`
}

function treatments(facts: DossierFacts): DossierTable {
  const { told, more } = carriedOnly(facts, facts.treatments)
  return {
    title: 'Water, treatments and checks',
    note: `Each is told in full by its entry.${more}`,
    columns: ['When', 'Lot', 'What'],
    rows: told.map((line) => ({
      cells: [
        timeOf(line.occurred_at, facts.zone),
        facts.name(line.lot_id),
        line.kind.replaceAll(/[._]/g, ' '),
      ],
      entries: facts.indexOf(line.entry_id),
    })),
  }
}

function questions(facts: DossierFacts): DossierTable {
  return {
    title: 'Open questions',
    note: 'What the records show and nobody has answered yet. One without entries is about none.',
    columns: ['Question', 'What is so'],
    rows: facts.findings.map(({ code, sentence, entries }) => ({
      cells: [code, sentence],
      entries,
    })),
  }
}

/** Every entry with its times; a withdrawn one stands beside what took it back (invariant 10). */
function entryList(facts: DossierFacts): DossierTable {
  const withdrawnBy = new Map<string, number>()
  for (const { kind, canonical, index } of facts.entries) {
    if (kind !== 'entry.withdrawn') continue
    const [, id = ''] = /"entryId":"([0-9a-f-]{36})"/.exec(canonical.toString('utf8')) ?? []
    withdrawnBy.set(id, index)
  }
  return {
    title: 'The entries',
    note: 'Each entry that this rests on, in the order of the journal, with both its times.',
    columns: ['Index', 'Kind', 'Done', 'Recorded (UTC)', 'By', 'Withdrawn by'],
    rows: facts.entries.map((entry) => ({
      cells: [
        String(entry.index),
        entry.kind,
        timeOf(entry.occurredAt, facts.zone),
        entry.recordedAt.slice(0, 19).replace('T', ' '),
        facts.name(entry.personId),
        String(withdrawnBy.get(entry.id) ?? ''),
      ],
      entries: [entry.index],
    })),
  }
}
