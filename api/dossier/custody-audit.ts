// What a dossier says of custody beyond its steps: handovers of both sides, gaps and overlaps.
import { localOfInstant } from '#trade/zone-time.ts'
import { handoverWords } from '../custody/handover-words.ts'
import { answer, plural } from './answer.ts'
import type { DossierTable, RuleAnswer } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'

/** The rules of handovers and of wood in two places. */
export function custodyAuditRules(facts: DossierFacts): RuleAnswer[] {
  return [handedOver(facts), inOnePlace(facts)]
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

/** The tables of handovers, and of gaps and overlaps. */
export function custodyAuditTables(facts: DossierFacts): DossierTable[] {
  return [handovers(facts), gaps(facts)]
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

const timeOf = (ms: number, zone: string) => localOfInstant(ms, zone).replace('T', ' ')
