// Varieties with their other spellings: the list, and the form that registers or corrects one.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { varietyProblems } from '../../nursery/checks.ts'
import { listVarieties } from '../../nursery/read.ts'
import type { VarietyLine } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit, TextField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName } from '../typed-text.ts'
import { typedNames } from './typed-names.ts'
import { NurseryMenu } from './menu.tsx'

/** What a variety is grown for, in words. */
export const useOptions = [
  { value: 'scion', label: 'scion' },
  { value: 'rootstock', label: 'rootstock' },
  { value: 'both', label: 'scion and rootstock' },
] as const

const useWords = Object.fromEntries(useOptions.map(({ value, label }) => [value, label]))

/** Most other spellings of one variety, as the entry allows. */
const SYNONYM_LIMIT = 20

/** Shows all varieties. */
export async function showVarieties(c: Context<Env>) {
  const varieties = await listVarieties(c.get('services').db)
  return show(
    c,
    <Page
      c={c}
      title="Varieties"
      lead="Cultivars and rootstocks, each with the other spellings that files and labels use."
      actions={
        <a class="button main" href="/nursery/varieties/new">
          Register a variety
        </a>
      }
    >
      <NurseryMenu at="/nursery/varieties" />
      <Saved c={c} />
      {varieties.length === 0 ? (
        <p class="note">No variety is registered. Lots, sources and rows need one.</p>
      ) : (
        <Table caption={`${varieties.length} varieties`} head={['Name', 'Use', 'Also written']}>
          {varieties.map((variety) => (
            <tr>
              <td>
                <a href={`/nursery/varieties/${variety.variety_id}`}>{variety.name}</a>
              </td>
              <td>{useWords[variety.use] ?? variety.use}</td>
              <td>{variety.synonyms.join(', ')}</td>
            </tr>
          ))}
        </Table>
      )}
    </Page>,
  )
}

/** Shows the form for a new variety, or for the one in the address. */
export async function showVarietyForm(c: Context<Env>) {
  const variety = await varietyInPath(c)
  const start = {
    name: variety?.name ?? (c.req.query('name') ?? '').slice(0, 120),
    use: variety?.use ?? '',
    synonyms: variety?.synonyms.join('\n') ?? '',
  }
  return show(c, varietyPage(c, variety, freshForm(start)))
}

/** Registers or corrects a variety. */
export async function saveVariety(c: Context<Env>) {
  const variety = await varietyInPath(c)
  return submit(c, {
    save: (form) => save(c, variety, form),
    page: (form) => varietyPage(c, variety, form),
  })
}

async function varietyInPath(c: Context<Env>): Promise<VarietyLine | null> {
  if (c.req.param('varietyId') === undefined) return null
  const varietyId = pathId(c, 'varietyId', 'variety')
  const known = await listVarieties(c.get('services').db)
  return found(
    known.find((one) => one.variety_id === varietyId),
    'variety',
  )
}

async function save(
  c: Context<Env>,
  variety: VarietyLine | null,
  form: FormReader,
): Promise<string> {
  const { db } = c.get('services')
  const name = typedName(form, 'name', 'the name')
  const use = form.choice(
    'use',
    'what it is grown for',
    useOptions.map(({ value }) => value),
  )
  const synonyms = typedNames(form, 'synonyms', 'other spellings', SYNONYM_LIMIT)
  const varietyId = variety?.variety_id ?? null
  form.addProblems(varietyProblems(await listVarieties(db), { varietyId, name, synonyms }))
  form.check()
  const body = { varietyId: varietyId ?? newId(), name, synonyms, use }
  await recordAtDesk(db, deskOf(c), [{ kind: 'variety.registered', body }])
  return afterSaving('/nursery/varieties', 1)
}

function varietyPage(c: Context<Env>, variety: VarietyLine | null, form: FormState) {
  return (
    <Page
      c={c}
      title={variety === null ? 'Register a variety' : `Correct ${variety.name}`}
      lead="The name is what labels print; the other spellings are understood in files."
    >
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name" required />
        <SelectField form={form} name="use" label="Grown for" options={useOptions} required />
        <NoteField form={form} name="synonyms" label="Other spellings" hint="one on each line" />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/nursery/varieties">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
