// Answers the rules of each source's scheme, as they stood on the day its wood was cut.
import { ruleResults } from '#trade/schemes/rule-results.ts'
import type { SchemeRuleResult } from '#trade/schemes/rule-results.ts'
import type { RuleMark } from '#trade/schemes/scheme-shape.ts'
import { findScheme, lowestClass } from '#trade/schemes/schemes.ts'
import { answer, plural } from './answer.ts'
import type { RuleAnswer, RuleResult } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'

/** A source whose wood is in question, and the day it was cut; null when not on record. */
export type SourceCut = { sourceId: string; cutDay: string | null }

/** Most sources and days that one answer names. */
const NAMED = 8

/** One answer for each rule of each scheme, over all cuts; a source without a scheme is told. */
export function schemeRules(facts: DossierFacts, cuts: readonly SourceCut[]): RuleAnswer[] {
  const byRule = new Map<string, { rule: SchemeRuleResult; cut: SourceCut }[]>()
  const without = new Map<string, string>()
  for (const cut of distinct(cuts)) {
    const own = facts.ruleFacts.get(cut.sourceId)
    if (own === undefined || own.scheme === null) {
      without.set(cut.sourceId, facts.name(cut.sourceId))
      continue
    }
    const day = cut.cutDay ?? '1900-01-01'
    for (const rule of ruleResults(own, day, facts.ownRules)) {
      const asked = cut.cutDay === null ? noDay(rule) : rule
      byRule.set(rule.ruleId, [...(byRule.get(rule.ruleId) ?? []), { rule: asked, cut }])
    }
  }
  const answers = [...byRule.values()].flatMap((lines) => oneRule(facts, lines))
  return without.size === 0 ? answers : [...answers, noScheme(facts, without)]
}

function noDay(rule: SchemeRuleResult): SchemeRuleResult {
  return { ...rule, result: 'not known', because: 'the day of cutting is not on record' }
}

function oneRule(
  facts: DossierFacts,
  lines: readonly { rule: SchemeRuleResult; cut: SourceCut }[],
): RuleAnswer[] {
  const [first] = lines
  if (first === undefined) return []
  const { scheme, rule, citation, known } = first.rule
  const worst: RuleResult[] = ['does not hold', 'not known', 'holds']
  const result = worst.find((one) => lines.some((line) => line.rule.result === one)) ?? 'not known'
  const telling = lines.filter((line) => line.rule.result === result)
  const words = telling.slice(0, NAMED).map(({ rule: { because }, cut }) => {
    const on = cut.cutDay === null ? '' : `, cut ${cut.cutDay}`
    return `${facts.name(cut.sourceId)}${on}: ${because}`
  })
  const more = telling.length > NAMED ? `; and ${telling.length - NAMED} more` : ''
  const ask = { rule: `${scheme}: ${rule}`, citation, citationKnown: markWords[known] }
  const sources = new Set(lines.map(({ cut }) => cut.sourceId))
  const entries = [
    ...facts.restsOn('scheme rule', first.rule.ruleId),
    ...[...sources].flatMap((sourceId) => sourceEntries(facts, sourceId)),
  ]
  return [answer(ask, result, `${words.join('; ')}${more}`, entries)]
}

/** Everything that a scheme's rules look at: the source, its block, its origin, its vines. */
function sourceEntries(facts: DossierFacts, sourceId: string): number[] {
  const looked = ['source', 'test', 'inspection', 'stands in', 'grown from', 'topworked'] as const
  return looked.flatMap((what) => facts.restsOn(what, sourceId))
}

const markWords: Record<RuleMark, RuleAnswer['citationKnown']> = {
  confirmed: 'read',
  'in a transposition': 'in a transposition',
  'from memory': 'from memory',
  'not found': 'not found',
  'set by the nursery': 'our own',
}

function noScheme(facts: DossierFacts, without: ReadonlyMap<string, string>): RuleAnswer {
  const ask = {
    rule: 'Each source names the scheme whose rules it is under',
    citation: 'the rules of schemes as this program knows them',
    citationKnown: 'our own',
  } as const
  const entries = [...without.keys()].flatMap((id) => facts.restsOn('source', id))
  const names = [...new Set(without.values())].join('; ')
  return answer(ask, 'not known', `no scheme is on record of: ${names}`, entries)
}

function distinct(cuts: readonly SourceCut[]): SourceCut[] {
  return [...new Map(cuts.map((cut) => [`${cut.sourceId} ${cut.cutDay ?? ''}`, cut])).values()]
}

/** One lot that was grafted, with the class it has on record. */
export type ClassedPart = { name: string; scheme: string | null; className: string | null }

/** The class of what was grafted together: the lowest, where one ladder knows all parts. */
export function classOfParts(
  parts: readonly ClassedPart[],
  unknownLayers: number,
  entries: readonly number[],
): RuleAnswer {
  const ask = {
    rule: 'Each part has a class on record in one scheme; the lowest counts for the whole',
    citation:
      'WAC 16-462-022: all components of a graft from G1, G2 or G3. That the lowest counts is ' +
      'this program’s reading',
    citationKnown: 'read',
  } as const
  const without = parts.filter((part) => part.className === null)
  if (without.length > 0 || unknownLayers > 0 || parts.length === 0) {
    const because = `no class is on record of ${plural(without.length, 'lot')} and ${plural(
      unknownLayers,
      'trunk layer',
    )}`
    return answer(ask, 'not known', because, entries)
  }
  const classes = [...new Set(parts.map((part) => part.className))]
  const told = `classes on record: ${classes.join(', ')}`
  const schemes = [...new Set(parts.map((part) => part.scheme))]
  const [name] = schemes
  if (classes.length === 1 && schemes.length === 1) return answer(ask, 'holds', told, entries)
  const scheme = schemes.length === 1 && typeof name === 'string' ? findScheme(name) : null
  const lowest = scheme === null ? null : lowestClass(scheme.classes, classes)
  if (lowest === null) {
    return answer(ask, 'not known', `${told}; no one scheme here orders them all`, entries)
  }
  return answer(ask, 'holds', `${told}; the lowest is ${lowest}`, entries)
}
