// The fields of a plan that a row and a whole block share, and how they are read.
import { graftingMethods } from '#trade/grafting-methods.ts'
import type { Context } from 'hono'
import type { EntryBody } from '#wire/entry.ts'
import { listVarieties, readPolicies } from '../../nursery/read.ts'
import type { VarietyLine } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import type { FormReader, FormState } from '../form.ts'
import { NumberField, SelectField, TextField } from '../form-page.tsx'
import { readClassNames } from '../lots/new-lot-fields.tsx'
import { typedNameOrNull } from '../typed-text.ts'
import { thisYear } from './rows-form.tsx'
import { varietyOptions } from './trunk-fields.tsx'

type Plan = EntryBody<'row.planned'>

/** Years ahead that can be planned. */
const YEARS_AHEAD = 10

/** What the fields offer. */
export type PlanChoices = { varieties: VarietyLine[]; classes: string[] }

/** Reads the choices. */
export async function readPlanChoices(c: Context<Env>): Promise<PlanChoices> {
  const { db, clock } = c.get('services')
  const [varieties, { classes }] = await Promise.all([
    listVarieties(db),
    readClassNames(db, clock.now()),
  ])
  return { varieties, classes }
}

/** What a fresh plan starts from: this season, and the usual number of buds. */
export async function planStart(c: Context<Env>): Promise<Record<string, string>> {
  const { db, clock } = c.get('services')
  const { policies } = await readPolicies(db, clock.now())
  return {
    season: String(await thisYear(c)),
    budsPerVine: String(policies.budsPerVine.value),
  }
}

/** The fields. */
export function PlanFields({ form, choices }: { form: FormState; choices: PlanChoices }) {
  return (
    <>
      <div class="columns">
        <div>
          <NumberField form={form} name="season" label="Season" hint="a year" required />
          <SelectField
            form={form}
            name="varietyId"
            label="Variety to set"
            options={varietyOptions(choices.varieties, 'interstock')}
            required
          />
          <TextField form={form} name="clone" label="Clone" hint="empty: any" size={14} />
        </div>
        <div>
          <TextField
            form={form}
            name="class"
            label="Class, at least"
            hint="empty: any"
            list="classes"
            size={14}
          />
          <TextField
            form={form}
            name="method"
            label="Method"
            hint="empty: as the crew sees fit"
            list="methods"
            size={20}
          />
          <NumberField form={form} name="budsPerVine" label="Buds on each vine" required />
        </div>
      </div>
      <NameList id="classes" names={choices.classes} />
      <NameList id="methods" names={graftingMethods} />
    </>
  )
}

/** Names to pick from while typing. */
export function NameList({ id, names }: { id: string; names: readonly string[] }) {
  return (
    <datalist id={id}>
      {names.map((name) => (
        <option value={name} />
      ))}
    </datalist>
  )
}

/** Reads the fields; every problem is at its field. */
export async function readPlan(
  c: Context<Env>,
  form: FormReader,
): Promise<Omit<Plan, 'rowId' | 'fromPosition' | 'toPosition'>> {
  const latest = (await thisYear(c)) + YEARS_AHEAD
  return {
    season: form.whole('season', 'the season', 1950, latest),
    varietyId: form.id('varietyId', 'the variety'),
    clone: typedNameOrNull(form, 'clone', 'the clone'),
    class: typedNameOrNull(form, 'class', 'the class'),
    method: typedNameOrNull(form, 'method', 'the method'),
    budsPerVine: form.whole('budsPerVine', 'the number of buds', 1, 10),
  }
}
