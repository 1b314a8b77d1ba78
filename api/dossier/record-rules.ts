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
