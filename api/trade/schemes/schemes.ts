// All schemes this program knows, with a nursery's own rules beside them, and how one is found.
import { AUSTRALIA, EUROPEAN_UNION, GERMANY, NEW_ZEALAND } from './elsewhere.ts'
import { CALIFORNIA, CANADA, GENERATIONS, OREGON, WASHINGTON } from './north-america.ts'
import { plainName } from './scheme-shape.ts'
import type { RuleCheck, Scheme, SchemeRule } from './scheme-shape.ts'

export const SCHEMES: readonly Scheme[] = [
  CALIFORNIA,
  WASHINGTON,
  OREGON,
  GENERATIONS,
  CANADA,
  EUROPEAN_UNION,
  GERMANY,
  NEW_ZEALAND,
  AUSTRALIA,
]

/** A rule that the nursery has set for a scheme, built in or not. */
export type OwnRule = {
  readonly id: string
  readonly scheme: string
  readonly topic: 'retest' | 'isolation' | 'inspection'
  /** Null: for every class. */
  readonly className: string | null
  /** Months, metres or times a year, as the topic has it. */
  readonly amount: number
  readonly citation: string
}

/**
 * The scheme that a register means by `name`, with the nursery's own rules; null when nothing is
 * known of it. A rule that is built in still counts beside an own one; a rule whose figure is not
 * known gives way to the own one of its topic.
 */
export function findScheme(name: string, own: readonly OwnRule[] = []): Scheme | null {
  const wanted = plainName(name)
  const means = (scheme: Scheme) =>
    [scheme.id, scheme.name, ...scheme.alsoCalled].some((known) => plainName(known) === wanted)
  const known = SCHEMES.find(means) ?? null
  const set = own.filter((rule) =>
    known === null ? plainName(rule.scheme) === wanted : findScheme(rule.scheme) === known,
  )
  if (set.length === 0) return known
  const rules = set.map(ownRule)
  if (known === null) {
    const classesFrom = { citation: 'not on record', known: 'not found' } as const
    return { id: wanted, name, alsoCalled: [], classes: [], classesFrom, rules }
  }
  const settled = new Set(set.map(({ topic }) => topic as string))
  const kept = known.rules.filter((rule) => !isUnknown(rule) || !settled.has(rule.topic))
  return { ...known, rules: [...kept, ...rules] }
}

/** Is the figure of this rule not known, so that nothing can be looked at? */
export function isUnknown(rule: SchemeRule): boolean {
  return rule.known === 'from memory' || rule.known === 'not found'
}

/** The own rule in the form of the built-in ones. */
export function ownRule({ id, topic, className, amount, citation }: OwnRule): SchemeRule {
  const classes = className === null ? null : [className]
  const who = className === null ? 'Sources' : `Sources of class ${className}`
  const known = 'set by the nursery'
  const [words, check]: [string, RuleCheck] =
    topic === 'retest'
      ? [
          `${who} are tested every ${amount} months`,
          { kind: 'retest', everyMonths: amount, classes, agents: null },
        ]
      : topic === 'isolation'
        ? [
            `${who} stand ${amount} m or more from other vines`,
            { kind: 'isolation', metres: amount, surelyMetres: amount, classes },
          ]
        : [
            `${who} are inspected ${amount} times a year`,
            { kind: 'inspections', perYear: amount, classes },
          ]
  return { id, topic, words, citation, known, check }
}

/**
 * The class of a graft: that of its lowest part, as the ladder orders them. Null when a part has
 * no class, or one that the ladder does not know: nothing is guessed.
 */
export function lowestClass(
  ladder: readonly string[],
  parts: readonly (string | null)[],
): string | null {
  const places = parts.map((part) =>
    part === null ? -1 : ladder.findIndex((one) => plainName(one) === plainName(part)),
  )
  if (places.length === 0 || places.includes(-1)) return null
  return ladder[Math.max(...places)] ?? null
}
