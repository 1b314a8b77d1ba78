// The tables of a dossier: origin, tests, custody, treatments, vines, balance, open questions.
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import { localDay, localOfInstant } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { readAccountNames } from '../store/account-names.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import { judgedCodes } from './record-rules.ts'
import { vineTables } from './vine-tables.ts'

/** After so many minutes between doing and recording both times are shown. */
const LATE_MINUTES = 5

/** All tables in the order in which they are read; empty ones say so. */
export async function dossierTables(db: Database, facts: DossierFacts): Promise<DossierTable[]> {
  return [
    lots(facts),
    sources(facts),
    tests(facts),
    standings(facts),
    await custody(db, facts),
    treatments(facts),
    judged(facts),
    ...vineTables(facts),
    balance(facts),
    questions(facts),
    entryList(facts),
  ]
}

const timeOf = (at: Date, zone: string) => localOfInstant(at.getTime(), zone).replace('T', ' ')
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
      entries: facts.entries
        .filter(({ kind, canonical }) => kind.startsWith('lot.') && canonical.includes(lot.lot_id))
        .map(({ index }) => index)
        .slice(0, 5),
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
      entries: facts.entries
        .filter(
          ({ kind, canonical }) =>
            kind === 'source.registered' && canonical.includes(source.source_id),
        )
        .map(({ index }) => index),
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
  const accounts = facts.steps.flatMap((step) => [
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
      'told with the vines.',
    columns: ['When', 'Lot', 'What', 'From', 'To', 'Sticks', 'Buds', 'By'],
    rows: facts.steps.map((step) => ({
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
      entries: facts.indexOf(step.entry_id),
    })),
  }
}

function whenBoth(at: Date, recordedAt: string | undefined, zone: string): string {
  const told = timeOf(at, zone)
  if (recordedAt === undefined) return told
  const late = (Date.parse(recordedAt) - at.getTime()) / 60_000
  return late <= LATE_MINUTES ? told : `${told} (recorded ${timeOf(new Date(recordedAt), zone)})`
}

function treatments(facts: DossierFacts): DossierTable {
  return {
    title: 'Water, treatments and checks',
    note: 'Each is told in full by its entry.',
    columns: ['When', 'Lot', 'What'],
    rows: facts.treatments.map((line) => ({
      cells: [
        timeOf(line.occurred_at, facts.zone),
        facts.name(line.lot_id),
        line.kind.replaceAll(/[._]/g, ' '),
      ],
      entries: facts.indexOf(line.entry_id),
    })),
  }
}

function judged(facts: DossierFacts): DossierTable {
  return {
    title: 'Storage and soaking on the days of grafting',
    note:
      'Judged by the calendar and the hours in water as recorded by then, under the policies of ' +
      'today; readings of temperature are not judged here.',
    columns: ['Lot', 'Day', 'Verdict', 'Reason'],
    rows: facts.judged.flatMap(({ lotId, day, judgement }) =>
      judgement.reasons
        .filter((reason) => judgedCodes.test(reason.code))
        .map((reason) => ({
          cells: [
            facts.name(lotId),
            day,
            reason.verdict,
            reasonInEnglish(reason, (_kind, id) => facts.name(id)).sentence,
          ],
          entries: [],
        })),
    ),
  }
}

function balance(facts: DossierFacts): DossierTable {
  return {
    title: 'Balance by lot',
    note:
      'Whole pieces by unit. Sticks may be opened for buds, so that only both together come out; ' +
      'each line sums to zero with what came in.',
    columns: ['Lot', 'Unit', 'Came in', 'At hand', 'On vines', 'Discarded, checked', 'To lots'],
    rows: facts.balance.map((line) => ({
      cells: [
        facts.name(line.lot_id),
        line.unit,
        ...[line.in_count, line.left, line.set, line.gone, line.to_lots].map(String),
      ],
      entries: [],
    })),
  }
}

function questions(facts: DossierFacts): DossierTable {
  return {
    title: 'Open questions',
    note: 'What the records show and nobody has answered yet.',
    columns: ['Question', 'What is so'],
    rows: facts.findings.map(({ code, sentence }) => ({ cells: [code, sentence], entries: [] })),
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
