// What a dossier says of custody beyond its steps: handovers of both sides, gaps and overlaps.
import { writtenTime } from '#trade/zone-time.ts'
import { handoverWords, lackWords } from '../custody/audit-words.ts'
import { answer, plural } from './answer.ts'
import type { DossierTable, RuleAnswer } from './dossier-shape.ts'
import { graftsHere } from './facts.ts'
import type { DossierFacts } from './facts.ts'

/** The rules of handovers, of wood in two places, and of the balance. */
export function custodyAuditRules(facts: DossierFacts): RuleAnswer[] {
  return [handedOver(facts), inOnePlace(facts), balanced(facts)]
}

function handedOver({ audit, indexOf, restsOn, name }: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'Each handover was accepted by the other side, in time and for the same wood',
    citation: `the nursery’s policy, within ${audit.limits.acceptHours} hours (no source)`,
    citationKnown: 'our own',
  } as const
  const all = audit.lots.flatMap((lot) => lot.handovers.map((line) => ({ lot, line })))
  if (all.length === 0) return answer(ask, 'not known', 'no handover is on record')
  const open = all.filter(({ line }) => line.state !== 'accepted' && !line.waits)
  const waiting = all.filter(({ line }) => line.waits).length
  const more = waiting === 0 ? '' : `; ${waiting} may still be accepted`
  const of = (lines: typeof all) => [
    ...restsOn('policy', 'handoverAcceptHours'),
    ...lines.flatMap(({ line }) => indexOf(line.entryId)),
  ]
  if (open.length === 0) {
    return answer(ask, 'holds', plural(all.length, 'handover') + more, of(all))
  }
  const lotNames = [...new Set(open.map(({ lot }) => name(lot.lotId)))].slice(0, 10).join(', ')
  const because = `${open.length} of ${plural(all.length, 'handover')} not so (${lotNames})${more}`
  return answer(ask, 'does not hold', because, of(open))
}

function inOnePlace({ audit, steps, indexOf, name }: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'At no time do the records have the same wood in two places',
    citation: '21 CFR Part 1 Subpart S, key data of each critical tracking event, as a model',
    citationKnown: 'read',
  } as const
  const moved = audit.lots.filter((lot) => lot.balance.cameIn > 0)
  if (moved.length === 0) return answer(ask, 'not known', 'no step is on record')
  const twice = moved.filter((lot) => lot.overlaps.length > 0)
  const told = new Set((twice.length === 0 ? moved : twice).map((lot) => lot.lotId))
  const entries = steps.flatMap((step) => (told.has(step.lot_id) ? indexOf(step.entry_id) : []))
  if (twice.length === 0) return answer(ask, 'holds', plural(moved.length, 'lot'), entries)
  const names = twice.map((lot) => name(lot.lotId)).slice(0, 10)
  const because = `${plural(twice.length, 'lot')}: ${names.join(', ')}`
  return answer(ask, 'does not hold', because, entries)
}

function balanced(facts: DossierFacts): RuleAnswer {
  const { audit, name, restsOn } = facts
  const ask = {
    rule: 'What was cut, set, left and discarded adds up, lot by lot',
    citation: '3 CCR § 3024.2(a)(8)–(10): what was removed and given out; invariant 4 here',
    citationKnown: 'read',
  } as const
  const moved = audit.lots.filter((lot) => lot.balance.cameIn > 0 || lot.balance.short > 0)
  if (moved.length === 0) return answer(ask, 'not known', 'no quantity is on record')
  const short = moved.filter((lot) => lot.balance.short > 0)
  const entries = [
    ...restsOn('policy', 'balanceToleranceShare'),
    ...(short.length === 0 ? moved : short).flatMap((lot) => balanceEntries(facts, lot.lotId)),
  ]
  if (short.length === 0) return answer(ask, 'holds', plural(moved.length, 'lot'), entries)
  const words = short.map((lot) => `${name(lot.lotId)}: ${lackWords(lot)}`).slice(0, 10)
  const isOver = short.some((lot) => !lot.isWithinTolerance)
  return answer(ask, isOver ? 'does not hold' : 'holds', words.join('; '), entries)
}

/** The tables of handovers, of gaps and overlaps, and of the balance. */
export function custodyAuditTables(facts: DossierFacts): DossierTable[] {
  return [handovers(facts), gaps(facts), balance(facts)]
}

function handovers({ audit, zone, indexOf, name }: DossierFacts): DossierTable {
  return {
    title: 'Handovers',
    note: `The other side is to accept within ${audit.limits.acceptHours} hours.`,
    columns: ['When', 'Lot', 'By', 'To', 'Given', 'The other side'],
    rows: audit.lots.flatMap((lot) =>
      lot.handovers.map((line) => ({
        cells: [
          timeOf(line.at.getTime(), zone),
          name(lot.lotId),
          name(line.handedBy),
          name(line.toHolderId),
          plural(line.count, line.unit),
          handoverWords(line, { name, time: (at) => timeOf(at.getTime(), zone) }),
        ],
        entries: indexOf(line.entryId),
      })),
    ),
  }
}

function gaps({ audit, steps, zone, indexOf, name }: DossierFacts): DossierTable {
  return {
    title: 'Gaps and overlaps of custody',
    note:
      'Wood that came from or went to where nobody told, and wood that was given out before it ' +
      'had come in. Not known: who else went into a place while nobody was there.',
    columns: ['Lot', 'What', 'From', 'Until', 'Buds'],
    rows: audit.lots.flatMap((lot) => [
      ...lot.gaps.map((gap) => ({
        cells: [
          name(lot.lotId),
          gap.how,
          timeOf(gap.atMs, zone),
          timeOf(gap.atMs, zone),
          String(gap.budEquivalents),
        ],
        entries: indexOf(gap.entryId),
      })),
      ...lot.overlaps.map((overlap) => ({
        cells: [
          name(lot.lotId),
          `in two places: ${name(overlap.accountId)} gave it out before it had it`,
          timeOf(overlap.fromMs, zone),
          overlap.untilMs === null ? 'to this day' : timeOf(overlap.untilMs, zone),
          String(overlap.budEquivalents),
        ],
        entries: steps.flatMap((step) =>
          step.lot_id === lot.lotId && [step.from_id, step.to_id].includes(overlap.accountId)
            ? indexOf(step.entry_id)
            : [],
        ),
      })),
    ]),
  }
}

function balance(facts: DossierFacts): DossierTable {
  return {
    title: 'Balance by lot',
    note:
      'In buds; a stick counts for the buds that its lot has on a stick. What was set on vines ' +
      'that this is not about is counted from the journal; its entries are not carried here.',
    columns: [
      'Lot',
      'Came in',
      'On vines told here',
      'On other vines',
      'At hand',
      'Discarded',
      'Used up by checks',
      'To other lots',
      'Given out more than there was',
    ],
    rows: facts.audit.lots.map(({ lotId, balance: of }) => {
      const here = facts.setHere.get(lotId) ?? 0
      const counts = [of.cameIn, here, of.set - here, of.left]
      return {
        cells: [
          facts.name(lotId),
          ...[...counts, of.discarded, of.checked, of.toLots, of.short].map(String),
        ],
        entries: balanceEntries(facts, lotId),
      }
    }),
  }
}

/** Entries that a lot's balance adds up: its making, its steps, and the grafts of it told here. */
function balanceEntries(facts: DossierFacts, lotId: string): number[] {
  const grafts = graftsHere(facts.scope).flatMap((graft) =>
    graft.lotId === lotId ? [graft.entryId] : [],
  )
  const steps = facts.steps.flatMap((step) => (step.lot_id === lotId ? [step.entry_id] : []))
  const told = [...steps, ...grafts].flatMap(facts.indexOf)
  return [...new Set([...facts.restsOn('lot', lotId), ...told])].sort((one, two) => one - two)
}

const timeOf = (ms: number, zone: string) => writtenTime(ms, zone)
