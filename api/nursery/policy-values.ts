// Turns policy settings as the journal keeps them into the policies that judgement reads.
import { checkPolicies, policiesWith } from '#trade/policies.ts'
import type {
  Policies,
  PolicyKey,
  PolicyOverride,
  PolicyOverrides,
  PolicyProblem,
  PolicyValues,
  SchemeLadder,
} from '#trade/policies.ts'

/** One setting as it was entered. `value` is a number, yes or no, a text, or a list of texts. */
export type PolicySettingRow = {
  key: string
  value: unknown
  source: string
  effective_from: string
  occurred_at: Date
}

/** A value as an entry `policy.set` holds it. */
export type StoredPolicyValue = number | boolean | string | string[]

/** A setting that cannot be used, and why. */
export type RefusedSetting = PolicyProblem & { setting: PolicySettingRow }

/**
 * The defaults with these settings over them. A setting that cannot be used is refused; when
 * settings contradict each other or a default, the one entered last gives way.
 */
export function policiesFrom(settings: readonly PolicySettingRow[]): {
  policies: Policies
  refused: RefusedSetting[]
} {
  const refused: RefusedSetting[] = []
  const latestFirst = (one: PolicySettingRow, other: PolicySettingRow) =>
    other.occurred_at.getTime() - one.occurred_at.getTime()
  let kept = [...settings].sort(latestFirst)
  for (;;) {
    const [problem] = checkPolicies(overridesOf(kept))
    if (problem === undefined) return { policies: policiesWith(overridesOf(kept)), refused }
    const culprit = kept.find((setting) => !causes(problem, without(kept, setting)))
    if (culprit === undefined) throw new Error(`the default policies are wrong: ${problem.key}`)
    refused.push({ ...problem, setting: culprit })
    kept = without(kept, culprit)
  }
}

/** A policy's value as an entry holds it: ladders of classes become one line for each scheme. */
export function storedValue(value: PolicyValues[PolicyKey]): StoredPolicyValue {
  if (typeof value === 'number' || typeof value === 'boolean') return value
  return value.map(ladderLine)
}

/** A ladder in one line: `EU: initial > base > certified > standard`. */
export function ladderLine(ladder: SchemeLadder): string {
  return `${ladder.scheme}: ${ladder.classes.join(' > ')}`
}

/** Reads `scheme: strictest > … > laxest`; null when the line is not written so. */
export function readLadderLine(line: string, source: string): SchemeLadder | null {
  const colon = line.indexOf(':')
  if (colon < 1) return null
  const scheme = line.slice(0, colon).trim()
  const classes = line
    .slice(colon + 1)
    .split('>')
    .map((name) => name.trim())
  if (scheme === '' || classes.some((name) => name === '')) return null
  return { scheme, classes, source }
}

/** Settings as overrides; a value of the wrong shape stays wrong, for the check to name. */
export function overridesOf(
  settings: readonly Pick<PolicySettingRow, 'key' | 'value' | 'source'>[],
): PolicyOverrides {
  const overrides = settings.map(({ key, value, source }): [string, PolicyOverride] => {
    const read = key === 'classLadder' ? laddersOf(value, source) : value
    return [key, { value: read as PolicyValues[PolicyKey], source }]
  })
  return Object.fromEntries(overrides)
}

function laddersOf(value: unknown, source: string): unknown {
  if (!Array.isArray(value)) return value
  return value.map((line: unknown) =>
    typeof line === 'string' ? readLadderLine(line, source) : line,
  )
}

function causes(problem: PolicyProblem, settings: readonly PolicySettingRow[]): boolean {
  return checkPolicies(overridesOf(settings)).some(
    ({ key, message }) => key === problem.key && message === problem.message,
  )
}

function without(settings: readonly PolicySettingRow[], one: PolicySettingRow): PolicySettingRow[] {
  return settings.filter((setting) => setting !== one)
}
