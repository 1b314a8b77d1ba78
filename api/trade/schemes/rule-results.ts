// Answers a scheme's rules for one source on one day: holds, does not hold, or not known.
import { findAgent } from '../health-agents.ts'
import { addMonths } from './months.ts'
import { plainName } from './scheme-shape.ts'
import type { RuleCheck, RuleMark, RuleTopic, SchemeRule } from './scheme-shape.ts'
import { findScheme } from './schemes.ts'
import type { OwnRule } from './schemes.ts'

/** Days are ISO dates in the nursery's zone. */
export type SourceTestFact = { agent: string; sampledOn: string; result: string }
export type InspectionFact = {
  inspectedOn: string
  result: string
  isolationMetres: number | null
  nearby: string
}

/** What is on record of one source. */
export type SourceRuleFacts = {
  scheme: string | null
  className: string | null
  tests: readonly SourceTestFact[]
  /** Tests of the block that a source vine stands in. */
  blockTests: readonly SourceTestFact[]
  inspections: readonly InspectionFact[]
  /** The lot it was grown from, with its class; null when no lot is on record. */
  grownFrom: { className: string | null } | null
  /** The latest day on which vines of this source were topworked here. */
  topworkedOn: string | null
}

export type RuleAnswered = 'holds' | 'does not hold' | 'not known'

/** One rule as answered. `dueOn`: the day by which something is due, where one follows. */
export type SchemeRuleResult = {
  ruleId: string
  scheme: string
  topic: RuleTopic
  rule: string
  citation: string
  known: RuleMark
  result: RuleAnswered
  because: string
  dueOn: string | null
}

type Said = { result: RuleAnswered; because: string; dueOn: string | null }

/** Topics that are about a source; the others are about labels and books, for people to read. */
const ABOUT_SOURCES: readonly RuleTopic[] = ['lineage', 'retest', 'isolation', 'inspection']

/**
 * The rules that apply to the source on `day`, in the scheme's order. Facts after that day are
 * left out. A rule whose figure is not known is answered “not known”, never by a guess.
 */
export function ruleResults(
  facts: SourceRuleFacts,
  day: string,
  own: readonly OwnRule[] = [],
): SchemeRuleResult[] {
  if (facts.scheme === null) return []
  const scheme = findScheme(facts.scheme, own)
  if (scheme === null) return [strange(facts.scheme)]
  return scheme.rules.flatMap((rule) => {
    const said = answered(rule, facts, day)
    if (said === null) return []
    const { id: ruleId, topic, citation, known, words } = rule
    return [{ ruleId, scheme: scheme.name, topic, rule: words, citation, known, ...said }]
  })
}

function strange(name: string): SchemeRuleResult {
  return {
    ruleId: `unknown.${plainName(name)}`,
    scheme: name,
    topic: 'retest',
    rule: 'The rules of this scheme',
    citation: name,
    known: 'not found',
    ...unknown('its rules are not known here: ask your scheme, and set them'),
    dueOn: null,
  }
}

function answered(rule: SchemeRule, facts: SourceRuleFacts, day: string): Said | null {
  if (rule.known === 'from memory' || rule.known === 'not found') {
    if (!ABOUT_SOURCES.includes(rule.topic)) return null
    return unknown('the figure is not known here: ask your scheme, and set it')
  }
  const { check } = rule
  if (check === null) return null
  if ('classes' in check && check.classes !== null) {
    if (facts.className === null) return unknown('no class of the source is on record')
    if (!has(check.classes, facts.className)) return null
  }
  switch (check.kind) {
    case 'retest':
      return retest(check, facts, day)
    case 'isolation':
      return isolation(check, facts, day)
    case 'inspections':
      return inspections(check.perYear, facts, day)
    case 'lineage':
      return lineage(check, facts)
    case 'notice':
    case 'notice before':
      return notice(check, facts, day)
  }
}

const unknown = (because: string): Said => ({ result: 'not known', because, dueOn: null })
const has = (names: readonly string[], name: string) =>
  names.some((one) => plainName(one) === plainName(name))

/** The earliest of the agents' due days counts: every agent asked for must be in time. */
function retest(
  { everyMonths, agents }: Extract<RuleCheck, { kind: 'retest' }>,
  facts: SourceRuleFacts,
  day: string,
): Said {
  const until = (tests: readonly SourceTestFact[]) =>
    tests.filter(({ sampledOn }) => sampledOn <= day)
  const own = until(facts.tests)
  const asked = (agents ?? [null]).map((agent) => ({
    agent,
    latest: latestClear(own.filter((test) => agent === null || tellsOf(test.agent, agent))),
  }))
  const missing = asked.filter(({ latest }) => latest === null)
  if (missing.length > 0) {
    const of = missing.flatMap(({ agent }) => agent ?? []).join(', ')
    const block = until(facts.blockTests).length > 0 ? '; only its block was tested' : ''
    return unknown(`no conclusive test${of === '' ? '' : ` for ${of}`} by ${day}${block}`)
  }
  const [oldest] = asked.flatMap(({ latest }) => latest ?? []).sort()
  if (oldest === undefined) return unknown(`no test by ${day}`)
  const dueOn = addMonths(oldest, everyMonths)
  const because = `last test ${oldest}, due by ${dueOn}`
  return { result: day <= dueOn ? 'holds' : 'does not hold', because, dueOn }
}

/** An inconclusive test settles nothing; a positive one is a test in time, and told elsewhere. */
function latestClear(tests: readonly SourceTestFact[]): string | null {
  const days = tests.filter(({ result }) => result !== 'inconclusive').map((t) => t.sampledOn)
  return days.sort().at(-1) ?? null
}

/** Does a test that names `tested` tell of `asked`? Group names tell of each of their members. */
function tellsOf(tested: string, asked: string): boolean {
  if (plainName(tested) === plainName(asked)) return true
  const group = findAgent(asked)
  if (group === null) return false
  if (plainName(group.name) === plainName(tested)) return true
  return group.name.endsWith(`(${asked})`) && findAgent(tested) === group
}

function isolation(
  { metres, surelyMetres }: Extract<RuleCheck, { kind: 'isolation' }>,
  { inspections }: SourceRuleFacts,
  day: string,
): Said {
  const seen = inspections
    .filter(({ inspectedOn, isolationMetres }) => inspectedOn <= day && isolationMetres !== null)
    .sort((one, other) => (one.inspectedOn < other.inspectedOn ? -1 : 1))
    .at(-1)
  if (seen?.isolationMetres === undefined || seen.isolationMetres === null) {
    return unknown(`no distance to other vines is on record by ${day}`)
  }
  const nearby = seen.nearby === '' ? '' : ` to ${seen.nearby}`
  const round = (length: number) => Math.round(length * 1000) / 1000
  const asked = round(metres) === round(surelyMetres) ? '' : ` or ${round(surelyMetres)}`
  const because =
    `${seen.isolationMetres} m${nearby}, seen ${seen.inspectedOn}; ` +
    `asked are ${round(metres)}${asked} m`
  const isAtLeast = (length: number) => round(seen.isolationMetres ?? 0) >= round(length)
  if (isAtLeast(surelyMetres)) return { result: 'holds', because, dueOn: null }
  return isAtLeast(metres) ? unknown(because) : { result: 'does not hold', because, dueOn: null }
}

/** Counts the twelve months up to the day. */
function inspections(perYear: number, facts: SourceRuleFacts, day: string): Said {
  const from = addMonths(day, -12)
  const days = facts.inspections
    .map(({ inspectedOn }) => inspectedOn)
    .filter((on) => on > from && on <= day)
  const because = `${days.length} on record in the 12 months to ${day}; asked are ${perYear}`
  if (facts.inspections.length === 0) return unknown(`no inspection is on record by ${day}`)
  return { result: days.length >= perYear ? 'holds' : 'does not hold', because, dueOn: null }
}

function lineage(
  { from, onConditions = {} }: Extract<RuleCheck, { kind: 'lineage' }>,
  { className, grownFrom }: SourceRuleFacts,
): Said | null {
  if (className === null) return unknown('no class of the source is on record')
  const parentsIn = (ladder: Readonly<Record<string, readonly string[]>>) =>
    Object.entries(ladder).find(([name]) => has([name], className))?.[1]
  const parents = parentsIn(from)
  if (parents === undefined) return null
  if (grownFrom === null) return unknown('the lot that it was grown from is not on record')
  const parent = grownFrom.className
  if (parent === null) return unknown('its parent’s class is not on record')
  const because = `class ${className}, grown from ${parent}`
  if (has(parents, parent)) return { result: 'holds', because, dueOn: null }
  if (has(parentsIn(onConditions) ?? [], parent)) {
    return unknown(`${because}: on conditions that are not on record here`)
  }
  return { result: 'does not hold', because, dueOn: null }
}

/** Whether a notice was sent is not on record: the day by which it is due is told. */
function notice(
  check: Extract<RuleCheck, { kind: 'notice' | 'notice before' }>,
  { topworkedOn }: SourceRuleFacts,
  day: string,
): Said | null {
  if (topworkedOn === null || topworkedOn > day) return null
  const unsent = 'whether it was sent is not on record here'
  if (check.kind === 'notice before') {
    return unknown(`vines were topworked on ${topworkedOn}; ${unsent}`)
  }
  const dueOn = addMonths(topworkedOn, check.withinMonths)
  return { ...unknown(`topworked on ${topworkedOn}, due by ${dueOn}; ${unsent}`), dueOn }
}
