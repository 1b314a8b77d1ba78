// Answers the rules of a recall: was it found, since when, is it stopped, could it be followed.
import type { StandingHold } from '#trade/lot-facts.ts'
import { isSameAgent } from '../trace/recall-start.ts'
import type { Unknown } from '../trace/recall-unknowns.ts'
import { unknownWords } from '../trace/recall-words.ts'
import { isHoldFor } from '../trace/recall.ts'
import { answer, plural } from './answer.ts'
import type { RuleAnswer } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import type { RecallScope } from './recall-scope.ts'

/** These rules in their order; none of a dossier that is about a thing. */
export function recallRules(facts: DossierFacts): RuleAnswer[] {
  const { recall } = facts.scope
  if (recall === null) return []
  return [
    foundByTest(facts, recall),
    cleanBefore(facts, recall),
    stopped(facts, recall),
    supplierKnown(facts, recall),
    followed(facts, recall),
  ]
}

/** Entries that tell of where the recall begins: its tests, else what registers or makes it. */
export function startEntries(facts: DossierFacts): number[] {
  const { recall } = facts.scope
  if (recall === null) return []
  const { start } = recall.recall.question
  if (start.kind === 'vine') {
    const own = recall.reach.filter(
      (graft) => graft.row_id === start.rowId && graft.position === start.position,
    )
    return [
      ...facts.restsOn('row', start.rowId),
      ...own.flatMap(({ entry_id }) => facts.indexOf(entry_id)),
    ]
  }
  const finding = findingTests(facts, recall).flatMap(({ entry_id }) => facts.indexOf(entry_id))
  return [...finding, ...facts.restsOn(start.kind, start.id)]
}

function findingTests(facts: DossierFacts, { recall }: RecallScope) {
  const { agent, foundOn, start } = recall.question
  if (start.kind !== 'source') return []
  return facts.tests.filter(
    (test) =>
      test.source_id === start.id &&
      test.result === 'detected' &&
      test.sampled_on === foundOn &&
      isSameAgent(test.agent, agent),
  )
}

function foundByTest(facts: DossierFacts, scope: RecallScope): RuleAnswer {
  const { question } = scope.recall
  const ask = {
    rule: 'The finding from which this recall begins is a test on record',
    citation: 'OAR 603-051-0857(4): a confirmed infected plant is removed, its block looked at',
    citationKnown: 'read',
  } as const
  const tests = findingTests(facts, scope)
  const entries = startEntries(facts)
  if (tests.length === 0) {
    const because =
      `no entry records that ${question.agent} was detected in ${scope.startName} in a sample ` +
      `of ${question.foundOn}: it is what the person who asked for this recall gave`
    return answer(ask, 'not known', because, entries)
  }
  const words = tests.map(({ method, laboratory }) => `${method}, ${laboratory}`).join('; ')
  return answer(ask, 'holds', words, entries)
}

function cleanBefore(facts: DossierFacts, { recall, startName }: RecallScope): RuleAnswer {
  const { since, question } = recall
  const ask = {
    rule: 'An earlier test of the same source by itself looked for it and did not detect it',
    citation:
      'WAC 16-462-027: registered vines are tested. That the last clean test bounds a ' +
      'recall is this program’s reading',
    citationKnown: 'read',
  } as const
  if (since.test === null) {
    const because =
      question.start.kind === 'source'
        ? `no such test of ${startName} is on record: everything ever made of it counts`
        : 'only sources are tested, so everything ever made of it counts'
    return answer(ask, 'not known', because, startEntries(facts))
  }
  const { entry_id, sampled_on, method, laboratory, pooled_vines } = since.test
  const told = `sampled ${sampled_on}, ${method}, ${laboratory}`
  if (pooled_vines > 1) {
    const because = `${told}, but as a pool of ${pooled_vines} vines, which may have missed it`
    return answer(ask, 'not known', because, facts.indexOf(entry_id))
  }
  return answer(ask, 'holds', told, facts.indexOf(entry_id))
}

/** A lot is stopped by its own hold, or by one that reaches it (invariant 8). */
function stopped(facts: DossierFacts, { recall }: RecallScope): RuleAnswer {
  const ask = {
    rule: 'A hold stops every source that is reached, and every lot of which wood is left',
    citation:
      'ISPM 36, general measures: a lot is put out of movement until what was found is resolved; ' +
      'invariant 8 of this program',
    citationKnown: 'from memory',
  } as const
  const { agent } = recall.question
  const holdsOf = (lotId: string) => holdsThatStop(facts, lotId, agent)
  const left = recall.lots.filter((lot) => lot.buds_left > 0)
  const open = [
    ...recall.sources.flatMap(({ hold_id, source_id, name }) =>
      hold_id === null
        ? [{ name: `source ${name}`, rests: facts.restsOn('source', source_id) }]
        : [],
    ),
    ...left.flatMap(({ lot_id, reference }) =>
      holdsOf(lot_id).length === 0
        ? [{ name: `lot ${reference}`, rests: facts.restsOn('lot', lot_id) }]
        : [],
    ),
  ]
  const due = recall.sources.length + left.length
  if (due === 0) {
    const because = 'no source is reached and no wood of a reached lot is left'
    const lots = recall.lots.flatMap((lot) => facts.restsOn('lot', lot.lot_id))
    return answer(ask, 'holds', because, lots.length > 0 ? lots : startEntries(facts))
  }
  if (open.length > 0) {
    const named = open
      .slice(0, 20)
      .map(({ name }) => name)
      .join('; ')
    const more = open.length > 20 ? `; and ${open.length - 20} more` : ''
    const rests = open.flatMap((one) => one.rests)
    return answer(ask, 'does not hold', `without a hold: ${named}${more}`, rests)
  }
  const entries = [
    ...recall.sources.flatMap(({ source_id }) => facts.restsOn('hold on', source_id)),
    ...left
      .flatMap(({ lot_id }) => holdsOf(lot_id))
      .flatMap(({ holdId }) => facts.restsOn('hold', holdId)),
  ]
  const sources = plural(recall.sources.length, 'source')
  const looked = `${sources}, ${plural(left.length, 'lot')} with wood left`
  return answer(ask, 'holds', looked, entries)
}

/** Holds for this agent, or for all, that stop the use of a lot; its own come first. */
export function holdsThatStop(
  facts: DossierFacts,
  lotId: string,
  agent: string,
): readonly StandingHold[] {
  const lot = facts.lotFacts.get(lotId)
  if (lot?.known !== true) return []
  const holds = lot.holds.filter((hold) => isHoldFor(agent, hold.agentId))
  const own = holds.filter(({ subjectId }) => subjectId === lotId)
  return [...own, ...holds.filter((hold) => !own.includes(hold))]
}

function supplierKnown(facts: DossierFacts, { recall }: RecallScope): RuleAnswer {
  const ask = {
    rule: 'The supplier is known of every received lot that is reached or came before',
    citation: 'Regulation (EU) 2016/2031 art. 69(1): the supplier of each trade unit is known',
    citationKnown: 'read',
  } as const
  const received = facts.scope.lots.filter((lot) => lot.made_by === 'received')
  const entries = received.flatMap((lot) => facts.restsOn('lot', lot.lot_id))
  if (received.length === 0) {
    return answer(ask, 'holds', 'no lot among these was received', startEntries(facts))
  }
  const unnamed = facts.entries.filter(
    ({ kind, canonical }) =>
      kind === 'lot.received' && facts.name(supplierIn(canonical)) === 'not registered here',
  )
  if (unnamed.length > 0) {
    const because = `the supplier of ${plural(unnamed.length, 'lot')} is not on the register`
    const due = unnamed.map(({ index }) => index)
    return answer(ask, 'does not hold', because, due)
  }
  const unknown = recall.unknowns.flatMap((one) =>
    one.what === 'lot of unknown origin' ? [one.reference] : [],
  )
  const more = unknown.length === 0 ? '' : `; their source is not known: ${unknown.join('; ')}`
  return answer(ask, 'holds', `${plural(received.length, 'lot')}${more}`, entries)
}

function supplierIn(canonical: Buffer): string {
  const { body } = JSON.parse(canonical.toString('utf8')) as { body: { supplierId: string } }
  return body.supplierId
}

/** Gaps that may hide something that was reached; that of insects and soil is always there. */
const hiding: ReadonlySet<Unknown['what']> = new Set<Unknown['what']>([
  'lot of unknown origin',
  'graft without a knife',
  'no disinfection recorded',
  'trunk of unknown origin',
  'phone not heard of',
  'too many steps',
])

function followed(facts: DossierFacts, { recall }: RecallScope): RuleAnswer {
  const ask = {
    rule: 'The records suffice to follow every way of this agent that wood and tools can take',
    citation: 'this program’s reading of its own records; the ways as the table below cites them',
    citationKnown: 'our own',
  } as const
  const gaps = recall.unknowns.filter(({ what }) => hiding.has(what))
  const lots = recall.lots.flatMap((lot) => facts.restsOn('lot', lot.lot_id))
  const entries = [...startEntries(facts), ...lots]
  if (gaps.length > 0) {
    return answer(ask, 'not known', gaps.map((gap) => unknownWords(gap)).join(' '), entries)
  }
  const because = `${[...recall.routes].length} ways followed to their end`
  return answer(ask, 'holds', because, entries)
}
