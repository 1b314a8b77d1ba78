// Reads several names typed one on each line.
import { NAME_LIMIT } from '#wire/basics.ts'
import { checkText } from '#trade/text-safety.ts'
import type { FormReader } from '../form.ts'

/** The names, in order; blank lines do not count. Each that cannot be a name is a problem. */
export function typedNames(
  form: FormReader,
  field: string,
  label: string,
  limit: number,
): string[] {
  const lines = form.raw(field).split(/\r\n|\n|\r/)
  const names: string[] = []
  for (const [nr, line] of lines.entries()) {
    if (line.trim() === '') continue
    const read = checkText(line, 'name', NAME_LIMIT)
    if (read.ok) names.push(read.value)
    else form.problem(field, `${label}, line ${nr + 1}: ${read.remedy}`)
  }
  if (names.length > limit) {
    form.problem(field, `${label}: at most ${limit} are possible, and there are ${names.length}`)
  }
  return names
}
