// Makes random values out of JSON schemas, and spoils them, for requests that nobody thought of.
import fc from 'fast-check'

export type Schema = { [name: string]: unknown }
type Json = null | boolean | number | string | Json[] | { [name: string]: Json }

/** Values for a schema; `known` holds real ids and the like, tried in place of random text. */
export function arbitraryOf(
  schema: Schema,
  resolve: (reference: string) => Schema,
  known: string[] = [],
): fc.Arbitrary<Json> {
  const of = (inner: unknown) => arbitraryOf(inner as Schema, resolve, known)
  if (typeof schema.$ref === 'string') return of(resolve(schema.$ref))
  if ('const' in schema) return fc.constant(schema.const as Json)
  if (Array.isArray(schema.enum)) return fc.constantFrom(...(schema.enum as Json[]))
  const choices = schema.oneOf ?? schema.anyOf
  if (Array.isArray(choices)) return fc.oneof(...choices.map(of))
  if (Array.isArray(schema.type)) {
    return fc.oneof(...schema.type.map((type) => of({ ...schema, type: type as string })))
  }
  switch (schema.type) {
    case 'string':
      return texts(schema, known)
    case 'integer':
      return fc.integer(boundsOf(schema))
    case 'number':
      return fc.double({ noNaN: true, noDefaultInfinity: true, ...boundsOf(schema) })
    case 'boolean':
      return fc.boolean()
    case 'null':
      return fc.constant(null)
    case 'array':
      return lists(schema, of)
    case 'object':
      return objects(schema, of)
    default:
      return fc.jsonValue() as fc.Arbitrary<Json>
  }
}

/** The same value with one thing in it changed: left out, added, of another type, or strange. */
export function spoilt(value: Json): fc.Arbitrary<Json> {
  return fc
    .tuple(fc.nat(), fc.constantFrom('drop', 'add', 'replace'), strange)
    .map(([place, how, other]) => {
      const copy = structuredClone({ value })
      const spots = spotsIn(copy)
      const spot = spots[place % spots.length]
      if (spot === undefined) return other
      const holder = spot.holder as { [name: string]: Json }
      if (how === 'drop') delete holder[spot.name]
      else if (how === 'replace') holder[spot.name] = other
      else holder[`${spot.name}X`] = other
      return copy.value ?? null
    })
}

/** Values that programs stumble over. */
export const strange: fc.Arbitrary<Json> = fc.oneof(
  fc.jsonValue() as fc.Arbitrary<Json>,
  fc.string({ unit: 'binary' }),
  fc.constantFrom<Json>(
    ...['', '\0', '\ud800', '__proto__', 'constructor', '-0', '1e400', 'x'.repeat(5000)],
    ...[0, -1, 1.5, 2 ** 53, 1e308, 5e-324, null, true, [], {}, [[[[[]]]]]],
    '2100-01-01T00:00:00Z',
    '2027-02-30T00:00:00+23:59',
    '00000000-0000-0000-0000-000000000000',
  ),
)

type Spot = { holder: object; name: string }

function spotsIn(value: unknown): Spot[] {
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([name, inner]) => [
    { holder: value, name },
    ...spotsIn(inner),
  ])
}

function boundsOf(schema: Schema): { min?: number; max?: number } {
  const { minimum, maximum } = schema
  return {
    ...(typeof minimum === 'number' ? { min: minimum } : {}),
    ...(typeof maximum === 'number' ? { max: Math.min(maximum, 2 ** 31 - 1) } : {}),
  }
}

function lists(schema: Schema, of: (inner: unknown) => fc.Arbitrary<Json>): fc.Arbitrary<Json> {
  const minLength = Number(schema.minItems ?? 0)
  const maxLength = Math.max(minLength, Math.min(Number(schema.maxItems ?? 4), 4))
  return fc.array(of(schema.items ?? {}), { minLength, maxLength })
}

function objects(schema: Schema, of: (inner: unknown) => fc.Arbitrary<Json>): fc.Arbitrary<Json> {
  const properties = Object.entries((schema.properties ?? {}) as Record<string, Schema>)
  const required = new Set((schema.required ?? []) as string[])
  return fc.record(Object.fromEntries(properties.map(([name, inner]) => [name, of(inner)])), {
    requiredKeys: properties.map(([name]) => name).filter((name) => required.has(name)),
  }) as fc.Arbitrary<Json>
}

function texts(schema: Schema, known: string[]): fc.Arbitrary<string> {
  const { pattern } = schema
  const limit = Number(schema.maxLength ?? Infinity)
  if (typeof pattern !== 'string') return fc.string({ maxLength: Math.min(limit, 60) })
  const expression = new RegExp(pattern, 'u')
  const fits = (text: string) => expression.test(text) && text.length <= limit
  const fitting = known.filter(fits)
  const random = randomTexts(pattern, expression).filter(fits)
  if (fitting.length === 0) return random
  return fc.oneof(
    { arbitrary: fc.constantFrom(...fitting), weight: 3 },
    { arbitrary: random, weight: 1 },
  )
}

function randomTexts(pattern: string, expression: RegExp): fc.Arbitrary<string> {
  if (pattern.startsWith('^(199')) {
    const [min, max] = [new Date('1990-01-02T00:00:00Z'), new Date('2099-12-30T00:00:00Z')]
    return fc.date({ min, max, noInvalidDate: true }).map((date) => date.toISOString())
  }
  // fast-check makes no texts for classes of characters by property; such patterns are for names.
  if (pattern.includes('\\p{')) return fc.stringMatching(/^[A-Za-zà-ž0-9][a-zà-ž0-9]{0,19}$/)
  return fc.stringMatching(expression)
}
