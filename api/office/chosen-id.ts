// Reads an id chosen from a list so that checks can go on when nothing was chosen.
import { Id, NIL_ID } from '#wire/basics.ts'
import type { FormReader } from './form.ts'

/** The id chosen; nil, with the problem noted, when it is none. Nil is the id of nothing. */
export function chosenId(form: FormReader, name: string, label: string): string {
  const read = Id.safeParse(form.id(name, label))
  return read.success ? read.data : NIL_ID
}
