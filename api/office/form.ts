// Reads what a person typed into a form, field by field, and collects what must be mended.
import type { Context } from 'hono'
import { instantOfLocal } from '#trade/zone-time.ts'
import { assert } from '../platform/errors.ts'
import { refuse } from '../platform/errors.ts'
import type { FieldProblem } from '../platform/errors.ts'

/** What a form page shows: the values typed so far and the problem of each field. */
export type FormState = {
  values: Record<string, string[]>
  errors: Record<string, string>
  general: string | null
}

/** A form that nobody has typed in yet, with the values it starts from. */
export function freshForm(start: Record<string, string | string[]> = {}): FormState {
  const values = Object.fromEntries(
    Object.entries(start).map(([name, value]) => [
      name,
      typeof value === 'string' ? [value] : value,
    ]),
  )
  return { values, errors: {}, general: null }
}

/** Most files and text that one form may carry, in bytes. */
export const FORM_BYTE_LIMIT = 12 * 1024 * 1024

const idPattern = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/

/**
 * Reads fields as what they must be. A field that is not right is noted and reading goes on, so
 * that the person sees every problem at once; `check()` then refuses, before anything is written.
 */
export class FormReader {
  readonly values: Record<string, string[]>
  readonly files: Record<string, File>
  private readonly problems: FieldProblem[] = []

  constructor(values: Record<string, string[]>, files: Record<string, File> = {}) {
    this.values = values
    this.files = files
  }

  /** The text as typed, trimmed and in Unicode form NFC; '' when absent. */
  raw(name: string): string {
    return (this.values[name]?.[0] ?? '').normalize('NFC').trim()
  }

  /** Every value given for a name that may occur several times. */
  all(name: string): string[] {
    return (this.values[name] ?? []).map((text) => text.normalize('NFC').trim())
  }

  /** A text that must be there. */
  text(name: string, label: string): string {
    const value = this.raw(name)
    if (value === '') this.problem(name, `${label} is needed`)
    return value
  }

  /** A text or null. */
  optional(name: string): string | null {
    const value = this.raw(name)
    return value === '' ? null : value
  }

  /** A whole number between `min` and `max`; a decimal comma or point is named as such. */
  whole(name: string, label: string, min: number, max: number): number {
    const value = this.raw(name)
    if (value === '') return this.problem(name, `${label} is needed`, min)
    if (/^-?\d+[.,]\d+$/.test(value)) {
      return this.problem(name, `${label} must be a whole number, not ${value}`, min)
    }
    if (!/^-?\d+$/.test(value)) {
      return this.problem(name, `${label} must be a number in digits, like 120`, min)
    }
    const number = Number(value)
    if (number < min || number > max) {
      return this.problem(name, `${label} must lie between ${min} and ${max}`, min)
    }
    return number
  }

  /** A whole number or null. */
  optionalWhole(name: string, label: string, min: number, max: number): number | null {
    return this.raw(name) === '' ? null : this.whole(name, label, min, max)
  }

  /** A number with decimals or null; a decimal comma is read as a point. */
  optionalNumber(name: string, label: string, min: number, max: number): number | null {
    const value = this.raw(name)
    if (value === '') return null
    if (!/^-?\d+([.,]\d+)?$/.test(value)) {
      return this.problem(name, `${label} must be a number, like 11.5`, null)
    }
    const number = Number(value.replace(',', '.'))
    if (number < min || number > max) {
      return this.problem(name, `${label} must lie between ${min} and ${max}`, null)
    }
    return number
  }

  /** One of the values offered. */
  choice<T extends string>(name: string, label: string, offered: readonly T[]): T {
    const value = this.raw(name)
    const found = offered.find((offer) => offer === value)
    if (found !== undefined) return found
    const first = offered[0]
    assert(first !== undefined, 'a choice offers something')
    return this.problem(name, `choose ${label}`, first)
  }

  /** An id picked from a list. */
  id(name: string, label: string): string {
    const value = this.raw(name)
    return idPattern.test(value) ? value : this.problem(name, `choose ${label}`, value)
  }

  /** An id picked from a list, or null. */
  optionalId(name: string, label: string): string | null {
    return this.raw(name) === '' ? null : this.id(name, label)
  }

  /** A calendar date like 2027-02-03. */
  day(name: string, label: string): string {
    const value = this.raw(name)
    if (/^\d{4}-\d\d-\d\d$/.test(value) && !Number.isNaN(Date.parse(value))) return value
    return this.problem(name, `${label} must be a date like 2027-02-03`, value)
  }

  /**
   * When it happened: a local date and time in the nursery's zone, not later than a quarter of an
   * hour from `now` and not before 1990. Empty means now.
   */
  when(name: string, label: string, zone: string, now: Date): Date {
    const value = this.raw(name)
    if (value === '') return now
    const read = instantOfLocal(value, zone)
    if (!read.ok) return this.problem(name, `${label}: ${read.remedy}`, now)
    if (read.epochMs > now.getTime() + 15 * 60_000) {
      return this.problem(name, `${label} lies in the future: give the time it happened`, now)
    }
    if (read.epochMs < Date.parse('1990-01-01T00:00:00Z')) {
      return this.problem(name, `${label} lies too far back: check the year`, now)
    }
    return new Date(read.epochMs)
  }

  /** Notes what is wrong with a field; the message also says how to mend it. */
  problem(name: string, message: string): void
  problem<T>(name: string, message: string, fallback: T): T
  problem<T>(name: string, message: string, fallback?: T): T | undefined {
    this.problems.push({ field: name, message })
    return fallback
  }

  /** Notes what checks have found, each problem at its field. */
  addProblems(problems: readonly FieldProblem[]): void {
    this.problems.push(...problems)
  }

  /** Refuses when any field was wrong; called before anything is written. */
  check(): void {
    const first = this.problems[0]
    if (first === undefined) return
    refuse('form', `${first.message.replace(/\.$/, '')}; nothing was saved`, {
      fields: this.problems,
    })
  }
}

/** Reads the posted form of a request. */
export async function readForm(c: Context): Promise<FormReader> {
  const body = await c.req.parseBody({ all: true })
  const values: Record<string, string[]> = {}
  const files: Record<string, File> = {}
  for (const [name, given] of Object.entries(body)) {
    for (const item of Array.isArray(given) ? given : [given]) {
      if (typeof item !== 'string') files[name] = item
      else values[name] = [...(values[name] ?? []), item]
    }
  }
  return new FormReader(values, files)
}
