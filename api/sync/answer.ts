// Turns what the read functions give into what the machine API answers.
import type { z } from 'zod'

/**
 * `value` as `shape` tells it: names of columns in camelCase, times in ISO 8601, whatever the shape
 * does not list left out. A value that does not fit is a mistake of ours: throws an Error.
 */
export function answer<S extends z.ZodType>(shape: S, value: object): z.infer<S> {
  return shape.parse(wireOf(value))
}

function wireOf(value: unknown): unknown {
  if (value instanceof Date) return value.toISOString()
  if (Array.isArray(value)) return value.map(wireOf)
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(
    Object.entries(value).map(([name, inner]) => [camelCase(name), wireOf(inner)]),
  )
}

const camelCase = (name: string) =>
  name.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase())
