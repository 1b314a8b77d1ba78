// Four rules for EPCIS documents that the schema of the standard does not check.
import type { FieldProblem } from '../platform/errors.ts'
import { COUNTING_UNITS, SCHEMA_VERSION, STANDARD_PREFIXES } from './terms.ts'

/** Most problems that are told at once. */
const PROBLEM_LIMIT = 100

/**
 * What the schema lets through and what we refuse: another version than 2.0, a word under a prefix
 * that no context declares, a quantity below nothing, and a unit in which we cannot count. Each
 * problem says where it is and how to mend it. `document` is any JSON value.
 */
export function fourRules(document: unknown): FieldProblem[] {
  const problems: FieldProblem[] = []
  const whole = isObject(document) ? document : {}
  if (whole.schemaVersion !== SCHEMA_VERSION) {
    const message = `version ${shown(whole.schemaVersion)} cannot be read: send EPCIS 2.0`
    problems.push({ field: 'schemaVersion', message })
  }
  walk(whole, '', declaredPrefixes(whole), problems)
  return problems.slice(0, PROBLEM_LIMIT)
}

/** Prefixes that the contexts of a document, or of one event, declare in the document itself. */
export function declaredPrefixes(holder: object): Record<string, string> {
  const context: unknown = Reflect.get(holder, '@context')
  const parts: unknown[] = Array.isArray(context) ? context : [context]
  const declared: Record<string, string> = {}
  for (const part of parts) {
    if (!isObject(part)) continue
    for (const [prefix, space] of Object.entries(part)) {
      if (typeof space === 'string' && !prefix.startsWith('@')) declared[prefix] = space
    }
  }
  return declared
}

function walk(
  value: unknown,
  path: string,
  prefixes: Record<string, string>,
  problems: FieldProblem[],
): void {
  if (problems.length >= PROBLEM_LIMIT) return
  if (Array.isArray(value)) {
    value.forEach((one, nr) => walk(one, join(path, String(nr)), prefixes, problems))
    return
  }
  if (!isObject(value)) return
  const known = { ...prefixes, ...declaredPrefixes(value) }
  quantityProblems(value, path, problems)
  for (const [name, inner] of Object.entries(value)) {
    if (name === '@context') continue
    const prefix = /^([^:/]+):(?!\/\/)/.exec(name)?.[1]
    if (prefix !== undefined && !(prefix in known) && !(prefix in STANDARD_PREFIXES)) {
      const message = `the prefix ${prefix} is declared nowhere: give its name space in @context`
      problems.push({ field: join(path, name), message })
    }
    walk(inner, join(path, name), known, problems)
  }
}

/** A quantity stands beside the class of what is counted; a measurement has units of its own. */
function quantityProblems(
  object: Record<string, unknown>,
  path: string,
  problems: FieldProblem[],
): void {
  if (!('epcClass' in object)) return
  const { quantity, uom } = object
  if (quantity !== undefined && !(typeof quantity === 'number' && quantity >= 0)) {
    const message = `${shown(quantity)} is no amount: give a number that is not below 0`
    problems.push({ field: join(path, 'quantity'), message })
  }
  if (uom !== undefined && !(typeof uom === 'string' && COUNTING_UNITS.has(uom))) {
    const message =
      `${shown(uom)} does not say how many: count sticks, buds or vines, and leave the unit out ` +
      `or give one of ${[...COUNTING_UNITS].join(', ')}`
    problems.push({ field: join(path, 'uom'), message })
  }
}

const join = (path: string, name: string) => (path === '' ? name : `${path}.${name}`)

const shown = (value: unknown) => String(JSON.stringify(value) ?? 'none').slice(0, 40)

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
