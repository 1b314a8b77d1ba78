// The rules about the record itself: custody, storage, balance, who wrote, what stands open.
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import type { Reason } from '#trade/reasons.ts'
import { answer, plural } from './answer.ts'
import type { RuleAnswer, RuleResult } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'

/** Reasons of storage by the calendar, and of soaking; the others need readings of that day. */
export const judgedCodes =
  /^(storage\.(too_long|vines_too_long|long|age_unknown|unrecorded)|soak\.)/

/** These rules in their order. */
export function recordRules(facts: DossierFacts): RuleAnswer[] {
  return [custody(facts), devices(facts), storage(facts), balance(facts), noQuestion(facts)]
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
  if (gaps.length === 0) return answer(ask, 'holds', plural(facts.steps.length, 'step'))
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
  return answer(ask, facts.entries.length === 0 ? 'not known' : 'holds', because)
}

function storage(facts: DossierFacts): RuleAnswer {
  const reasons = facts.judged.flatMap(({ lotId, day, judgement }) =>
    judgement.reasons
      .filter((reason) => judgedCodes.test(reason.code) && reason.verdict !== 'ready')
      .map((reason) => ({ lotId, day, reason })),
  )
  const sources = new Set(
    reasons.flatMap(({ reason }) =>
      reason.policies.map((key) => `${key}: ${facts.policies[key].source}`),
    ),
  )
  const ask = {
    rule: 'On the days of grafting the wood was within the limits of storage and soaking',
    citation: `the nursery’s policies (${[...sources].join('; ') || 'none was reached'})`,
    citationKnown: 'our own',
  } as const
  if (facts.judged.length === 0) return answer(ask, 'not known', 'no grafting is on record')
  const result = resultOf(reasons.map(({ reason }) => reason))
  const words = reasons.slice(0, 5).map(({ lotId, day, reason }) => {
    const { sentence } = reasonInEnglish(reason, (_kind, id) => facts.name(id))
    return `${facts.name(lotId)} on ${day}: ${sentence}`
  })
  const more = reasons.length > 5 ? `; and ${reasons.length - 5} more in the table below` : ''
  const because =
    words.length === 0
      ? `${plural(facts.judged.length, 'lot and day')} looked at, nothing out of bounds`
      : words.join('; ') + more
  return answer(ask, result, because)
}

/** A stop does not hold; what asks for caution is for the reader to weigh. */
function resultOf(reasons: readonly Reason[]): RuleResult {
  if (reasons.some((reason) => reason.verdict === 'stop')) return 'does not hold'
  return reasons.length === 0 ? 'holds' : 'not known'
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
  if (lots.size === 0) return answer(ask, 'holds', plural(facts.balance.length, 'line'))
  const names = [...lots].map(([id, by]) => `${facts.name(id)} (${by})`)
  return answer(ask, 'does not hold', `more was used than there was: ${names.join('; ')}`)
}

function noQuestion(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'The records raise no question that nobody has answered',
    citation: 'the findings of this program, each shown below',
    citationKnown: 'our own',
  } as const
  if (facts.findings.length === 0) return answer(ask, 'holds', 'none is open')
  return answer(ask, 'does not hold', plural(facts.findings.length, 'open question'))
}
