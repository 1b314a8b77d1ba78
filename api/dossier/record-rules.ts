// The rules about the record itself: custody, storage, balance, who wrote, what stands open.
import { answer, plural } from './answer.ts'
import { custodyAuditRules } from './custody-audit.ts'
import type { RuleAnswer } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import { storageRules } from './storage-rules.ts'

/** These rules in their order. */
export function recordRules(facts: DossierFacts): RuleAnswer[] {
  const ofStorage = facts.scope.recall === null ? storageRules(facts) : []
  return [
    custody(facts),
    ...custodyAuditRules(facts),
    devices(facts),
    ...ofStorage,
    balance(facts),
    noQuestion(facts),
  ]
}

function custody(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'Every step of the wood names whom it came from and went to',
    citation: '21 CFR Part 1 Subpart S, key data of each critical tracking event, as a model',
    citationKnown: 'read',
  } as const
  if (facts.steps.length === 0) return answer(ask, 'not known', 'no step is on record')
  const gaps = facts.steps.filter((step) => [step.from_kind, step.to_kind].includes('unknown'))
  const entries = gaps.flatMap((step) => facts.indexOf(step.entry_id))
  if (gaps.length === 0) {
    const all = facts.steps.flatMap((step) => facts.indexOf(step.entry_id))
    return answer(ask, 'holds', plural(facts.steps.length, 'step'), all)
  }
  return answer(
    ask,
    'does not hold',
    `${gaps.length} of ${plural(facts.steps.length, 'step')} come from or go to a place that ` +
      'nobody recorded',
    entries,
  )
}

function devices(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'Each entry names the person and the device that made it; phones have signed theirs',
    citation: '21 CFR 11.10(d), (g), (h): authority of people, checks of devices',
    citationKnown: 'read',
  } as const
  const signed = facts.entries.filter(({ canonical }) => canonical.includes('"signature":"'))
  const rest = facts.entries.length - signed.length
  const because =
    `${signed.length} of ${plural(facts.entries.length, 'entry').replace('entrys', 'entries')} ` +
    `signed by a phone; ${rest} made at the desk or by a machine, which do not sign`
  const keys = facts.entries.filter(({ kind }) => kind === 'device.enrolled')
  return answer(
    ask,
    facts.entries.length === 0 ? 'not known' : 'holds',
    because,
    (keys.length > 0 ? keys : facts.entries).map(({ index }) => index),
  )
}

function balance(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'What was cut, set, left and discarded adds up, lot by lot',
    citation: '3 CCR § 3024.2(a)(8)–(10): what was removed and given out; invariant 4 here',
    citationKnown: 'read',
  } as const
  if (facts.balance.length === 0) return answer(ask, 'not known', 'no quantity is on record')
  const lots = new Map<string, number>()
  for (const line of facts.balance) {
    const facts_ = facts.lotFacts.get(line.lot_id)
    if (line.sum !== 0) lots.set(line.lot_id, line.sum)
    const left = facts_?.known === true ? facts_.left : null
    if (left !== null && (left.sticks < 0 || left.buds < 0)) lots.set(line.lot_id, left.buds)
  }
  const ids = lots.size === 0 ? facts.balance.map(({ lot_id }) => lot_id) : [...lots.keys()]
  const entries = ids.flatMap((id) => balanceEntries(facts, id))
  if (lots.size === 0) return answer(ask, 'holds', plural(facts.balance.length, 'line'), entries)
  const names = [...lots].map(([id, by]) => `${facts.name(id)} (${by})`)
  return answer(ask, 'does not hold', `more was used than there was: ${names.join('; ')}`, entries)
}

function noQuestion(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'The records raise no question that nobody has answered',
    citation: 'the findings of this program, each shown below',
    citationKnown: 'our own',
  } as const
  if (facts.findings.length === 0) return answer(ask, 'holds', 'none is open')
  const entries = facts.findings.flatMap((finding) => finding.entries)
  return answer(ask, 'does not hold', plural(facts.findings.length, 'open question'), entries)
}

/** Entries that a lot's balance adds up: its making, its steps, and the grafts of it told here. */
export function balanceEntries(facts: DossierFacts, lotId: string): number[] {
  const { scope } = facts
  const grafts =
    scope.recall === null
      ? scope.grafts.flatMap((graft) => (graft.lot_id === lotId ? [graft.graft_id] : []))
      : scope.recall.reach.flatMap((graft) => (graft.lot_id === lotId ? [graft.entry_id] : []))
  const steps = facts.steps.flatMap((step) => (step.lot_id === lotId ? [step.entry_id] : []))
  const told = [...steps, ...grafts].flatMap(facts.indexOf)
  return [...new Set([...facts.restsOn('lot', lotId), ...told])].sort((one, two) => one - two)
}
