// Fact rows as texts that can be compared: from what an entry states, and from what a table holds.
import canonicalize from 'canonicalize'

/** The type of each column of one table, as the database names them. */
export type ColumnTypes = ReadonlyMap<string, string>

/** A moment as UTC to the microsecond; `when` is ISO 8601 with its offset. */
export function utcText(when: string): string {
  const [, seconds = '', fraction = '', offset = ''] =
    /^(.{10}[T ].{8})(?:\.(\d{1,6}))?(Z|[+-]\d\d(?::?\d\d)?)$/.exec(when) ?? []
  const time = new Date(`${seconds}${offset}`)
  if (Number.isNaN(time.getTime())) throw new Error(`${when} is no moment in ISO 8601`)
  return `${time.toISOString().slice(0, 19)}.${fraction.padEnd(6, '0')}Z`
}

/**
 * A row as a table would hold it: every column there, moments in UTC. Works without a database on
 * what an entry states, and in the same way on what was read. Throws on a column that the table
 * does not have.
 */
export function plainRow(row: object, columns: ColumnTypes): Record<string, unknown> {
  const values = new Map<string, unknown>(Object.entries(row))
  for (const [name, value] of values) {
    if (value !== undefined && !columns.has(name)) throw new Error(`it has no column ${name}`)
  }
  const plain: Record<string, unknown> = {}
  for (const [name, type] of columns) {
    const value = values.get(name) ?? null
    const isMoment = type === 'timestamp with time zone' && typeof value === 'string'
    plain[name] = isMoment ? utcText(value) : value
  }
  return plain
}

/** A value as canonical JSON (RFC 8785), equal for equal values. */
export function valueText(value: unknown): string {
  return canonicalize(value) ?? 'null'
}
