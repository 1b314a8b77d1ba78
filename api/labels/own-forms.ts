// The label forms that people can choose: those that come with Canemark and the nursery's own.
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import { BUILT_IN_FORMS } from './built-in-forms.ts'
import { labelFormSchema } from './forms.ts'
import type { LabelForm } from './forms.ts'

const settingKey = 'label_forms'
/** Most forms that a nursery can keep. */
export const OWN_FORMS_LIMIT = 50

/** The nursery's own forms, in the order in which they were made. */
export async function readOwnForms(db: Database): Promise<LabelForm[]> {
  const row = await db
    .selectFrom('installation')
    .select('value')
    .where('key', '=', settingKey)
    .executeTakeFirst()
  const stored = Array.isArray(row?.value) ? row.value : []
  return stored.flatMap((form) => {
    const read = labelFormSchema.safeParse(form)
    return read.success ? [read.data] : []
  })
}

/** All forms to choose from. */
export async function readForms(db: Database): Promise<LabelForm[]> {
  return [...Object.values(BUILT_IN_FORMS), ...(await readOwnForms(db))]
}

/** The form of this name; refuses when there is none. */
export async function readForm(db: Database, name: string): Promise<LabelForm> {
  const form = (await readForms(db)).find((candidate) => candidate.name === name)
  return form ?? refuse('no_form', `there is no label form called “${name}”: choose another`)
}

/** Keeps a form of the nursery's own. Refuses a name that is taken. */
export async function addOwnForm(db: Database, form: LabelForm): Promise<void> {
  const taken = (await readForms(db)).some((candidate) => candidate.name === form.name)
  if (taken) {
    const message = `a form is called “${form.name}” already: give it another name`
    refuse('name_taken', message, { fields: [{ field: 'name', message }] })
  }
  const own = await readOwnForms(db)
  if (own.length >= OWN_FORMS_LIMIT) {
    refuse('too_many', `at most ${OWN_FORMS_LIMIT} forms can be kept`)
  }
  const value = JSON.stringify([...own, form])
  await db
    .insertInto('installation')
    .values({ key: settingKey, value })
    .onConflict((conflict) => conflict.column('key').doUpdateSet({ value }))
    .execute()
}
