// Reads names, notes and reasons that people type, and refuses what hides or imitates characters.
import { NAME_LIMIT, NOTE_LIMIT } from '#wire/basics.ts'
import { checkText } from '#trade/text-safety.ts'
import type { TextKind } from '#trade/text-safety.ts'
import type { FormReader } from './form.ts'

/** A name or reference that must be there: one line of visible text. */
export function typedName(
  form: FormReader,
  name: string,
  label: string,
  limit = NAME_LIMIT,
): string {
  if (form.raw(name) === '') return form.problem(name, `${label} is needed`, '')
  return read(form, name, label, 'name', limit)
}

/** A name or reference, or null when nothing was typed. */
export function typedNameOrNull(
  form: FormReader,
  name: string,
  label: string,
  limit = NAME_LIMIT,
): string | null {
  return form.raw(name) === '' ? null : read(form, name, label, 'name', limit)
}

/** A free note; '' when nothing was typed. */
export function typedNote(form: FormReader, name: string, label: string): string {
  return form.raw(name) === '' ? '' : read(form, name, label, 'text', NOTE_LIMIT)
}

/** Why something is done: a note that must be there. */
export function typedReason(form: FormReader, name: string, label: string): string {
  if (form.raw(name) === '') return form.problem(name, `${label} is needed: say why`, '')
  return read(form, name, label, 'text', NOTE_LIMIT)
}

function read(
  form: FormReader,
  name: string,
  label: string,
  kind: TextKind,
  limit: number,
): string {
  const result = checkText(form.values[name]?.[0] ?? '', kind, limit)
  if (result.ok) return result.value
  const where = result.at === null ? '' : ` (character ${result.at}, ${result.codePoint ?? ''})`
  return form.problem(name, `${label}${where}: ${result.remedy}`, '')
}
