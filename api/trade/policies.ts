// The numbers that judgement, take counting and orders rest on, each with its unit and its source.
import type { ClimatePolicyValues } from './climate-policies.ts'
import { DEFAULT_POLICIES } from './policy-defaults.ts'
import type { WoodPolicyValues } from './wood-policies.ts'

/** One certification scheme's classes, the strictest first. */
export interface SchemeLadder {
  readonly scheme: string
  readonly classes: readonly string[]
  readonly source: string
}

/** The value each policy holds; the unit stands in the name or in {@link Policy.unit}. */
export interface PolicyValues extends ClimatePolicyValues, WoodPolicyValues {
  readonly storageCautionDays: number
  readonly storageStopDays: number
  readonly vineStorageStopDays: number
  readonly storeUnrecordedMaxHours: number
  readonly soakMinHours: number
  readonly soakMaxHours: number
  readonly outOfWaterCautionHours: number
  readonly outOfWaterMaxHours: number
  readonly contactHoldStops: boolean
  readonly holdReleaseNeedsTwo: boolean
  readonly takeInsufficientShare: number
  readonly purityMaxDefectiveShare: number
  readonly classLadder: readonly SchemeLadder[]
  readonly snapshotStaleHours: number
  readonly clockToleranceMinutes: number
  readonly fieldOverageShare: number
  readonly budsPerVine: number
  readonly usableBudsPerStick: number
  readonly scionPackageSticks: number
}

export type PolicyKey = keyof PolicyValues
export type PolicyUnit =
  | 'days'
  | 'hours'
  | 'minutes'
  | '°C'
  | '°C days'
  | 'times per 10 °C'
  | 'kPa'
  | 'share'
  | 'buds'
  | 'sticks'
  | 'yes or no'
  | 'ordered classes'

/** The span a number may lie in, both ends included. */
export interface PolicyRange {
  readonly min: number
  readonly max: number
  readonly whole: boolean
}

/** One policy: what is set, in which unit, on whose word, and who says otherwise. */
export interface Policy<K extends PolicyKey = PolicyKey> {
  readonly key: K
  readonly value: PolicyValues[K]
  readonly unit: PolicyUnit
  readonly source: string
  readonly sourceNote: string
  readonly disagreement?: string
  readonly range?: PolicyRange
}

export type Policies = { readonly [K in PolicyKey]: Policy<K> }

/** A nursery's own setting. `unit`, when given, must be the policy's unit. */
export interface PolicyOverride<K extends PolicyKey = PolicyKey> {
  readonly value: PolicyValues[K]
  readonly unit?: string
  readonly source?: string
  readonly sourceNote?: string
}

export type PolicyOverrides = { readonly [K in PolicyKey]?: PolicyOverride<K> }

/** What is wrong with a setting and how to mend it. */
export interface PolicyProblem {
  readonly key: string
  readonly message: string
}

/** Thrown by {@link policiesWith}; carries every problem found, not only the first. */
export class PolicyError extends Error {
  readonly problems: readonly PolicyProblem[]

  constructor(problems: readonly PolicyProblem[]) {
    super(problems.map((problem) => `${problem.key}: ${problem.message}`).join('\n'))
    this.name = 'PolicyError'
    this.problems = problems
  }
}

export const POLICY_KEYS: readonly PolicyKey[] = Object.keys(DEFAULT_POLICIES) as PolicyKey[]

/**
 * The default policies with a nursery's own settings in their place. An overridden policy no
 * longer claims the published source: its source is the nursery's, and the note keeps the default.
 *
 * @throws PolicyError when a key is unknown, a unit differs, a value is out of range, or a lower
 *   limit is not below its upper limit
 */
export function policiesWith(overrides: PolicyOverrides): Policies {
  const problems = checkPolicies(overrides)
  if (problems.length > 0) throw new PolicyError(problems)
  return merged(overrides)
}

/** Every problem in a set of overrides, so that a form can show all of them at once. */
export function checkPolicies(overrides: PolicyOverrides): readonly PolicyProblem[] {
  const problems: PolicyProblem[] = []
  for (const [key, override] of Object.entries(overrides)) {
    if (!isPolicyKey(key)) {
      problems.push({ key, message: 'is not a policy; known are ' + POLICY_KEYS.join(', ') })
      continue
    }
    if (override !== undefined) problems.push(...problemsOfOne(key, override))
  }
  return problems.length > 0 ? problems : problemsOfPairs(merged(overrides))
}

const LOWER_AND_UPPER: readonly (readonly [PolicyKey, PolicyKey])[] = [
  ['storageCautionDays', 'storageStopDays'],
  ['freezeLimitC', 'frostLimitC'],
  ['frostLimitC', 'wakingLimitC'],
  ['soakMinHours', 'soakMaxHours'],
  ['outOfWaterCautionHours', 'outOfWaterMaxHours'],
]

function isPolicyKey(key: string): key is PolicyKey {
  return Object.hasOwn(DEFAULT_POLICIES, key)
}

function merged(overrides: PolicyOverrides): Policies {
  const all = POLICY_KEYS.map((key) => [key, mergedOne(key, overrides[key])] as const)
  return Object.fromEntries(all) as unknown as Policies
}

function mergedOne(key: PolicyKey, override: PolicyOverride | undefined): Policy {
  const standard: Policy = DEFAULT_POLICIES[key]
  if (override === undefined) return standard
  const printed =
    typeof standard.value === 'object' ? 'see the default' : `${standard.value} ${standard.unit}`
  return {
    ...standard,
    value: override.value,
    source: override.source ?? 'set by this nursery, no source given',
    sourceNote: override.sourceNote ?? `default: ${printed}; ${standard.source}`,
  }
}

function problemsOfOne(key: PolicyKey, override: PolicyOverride): PolicyProblem[] {
  const standard: Policy = DEFAULT_POLICIES[key]
  const problem = (message: string): PolicyProblem => ({ key, message })
  const value: unknown = override.value
  if (override.unit !== undefined && override.unit !== standard.unit) {
    return [problem(`is counted in ${standard.unit}, not ${override.unit}; convert the value`)]
  }
  if (typeof standard.value === 'boolean') {
    return typeof value === 'boolean' ? [] : [problem('must be true or false')]
  }
  if (typeof standard.value !== 'number') return ladderProblems(value).map(problem)
  if (typeof value !== 'number' || !Number.isFinite(value)) {
    return [problem(`must be a number of ${standard.unit}`)]
  }
  const range = standard.range
  if (range === undefined) return []
  if (value < range.min || value > range.max) {
    return [problem(`is ${value}; it must lie between ${range.min} and ${range.max}`)]
  }
  if (range.whole && !Number.isInteger(value)) {
    return [problem(`is ${value}; it must be a whole number of ${standard.unit}`)]
  }
  return []
}

function problemsOfPairs(policies: Policies): PolicyProblem[] {
  const problems: PolicyProblem[] = []
  for (const [lowerKey, upperKey] of LOWER_AND_UPPER) {
    const lower = policies[lowerKey]
    const upper = policies[upperKey]
    if (lower.value < upper.value) continue
    problems.push({
      key: lowerKey,
      message:
        `is ${String(lower.value)} ${lower.unit}, but must be below ${upperKey}, ` +
        `which is ${String(upper.value)} ${upper.unit}; lower the one or raise the other`,
    })
  }
  return problems
}

function ladderProblems(value: unknown): string[] {
  if (!Array.isArray(value)) return ['must be a list of schemes, each with its classes in order']
  const problems: string[] = []
  const seenSchemes = new Set<string>()
  for (const [index, entry] of (value as Partial<SchemeLadder>[]).entries()) {
    const where = `scheme ${index + 1}`
    if (typeof entry?.scheme !== 'string' || entry.scheme === '') {
      problems.push(`${where} has no name`)
      continue
    }
    if (seenSchemes.has(entry.scheme)) problems.push(`${entry.scheme} is listed twice`)
    seenSchemes.add(entry.scheme)
    if (typeof entry.source !== 'string' || entry.source === '') {
      problems.push(`${entry.scheme} names no source for its order of classes`)
    }
    problems.push(...classProblems(entry.scheme, entry.classes))
  }
  return problems
}

function classProblems(scheme: string, classes: unknown): string[] {
  if (!Array.isArray(classes) || classes.length === 0) return [`${scheme} lists no classes`]
  const names = classes as unknown[]
  if (names.some((name) => typeof name !== 'string' || name === '')) {
    return [`${scheme} has a class without a name`]
  }
  return new Set(names).size < names.length ? [`${scheme} lists a class twice`] : []
}
