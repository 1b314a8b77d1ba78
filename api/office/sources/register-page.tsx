// The fields of a source: what it is, where it stands, what it was grown from.
import type { Context } from 'hono'
import type { VarietyLine } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import type { SourceLine } from '../../sources/read.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'

/** What the form offers to choose from. */
export type RegisterChoices = {
  varieties: VarietyLine[]
  blocks: SourceLine[]
  schemes: string[]
  classes: string[]
  rows: string[]
  lots: string[]
}

/** The whole page. */
export function RegisterPage(props: {
  c: Context<Env>
  title: string
  back: string
  form: FormState
  choices: RegisterChoices
}) {
  const { c, form, choices, back } = props
  return (
    <Page
      c={c}
      title={props.title}
      lead="Registered plants that wood is cut from. Write what the register says."
    >
      {choices.varieties.length === 0 ? (
        <p class="care">
          No variety is registered yet: <a href="/nursery/varieties/new">register it first</a>.
        </p>
      ) : null}
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <WhatFields form={form} choices={choices} />
          <WhereFields form={form} choices={choices} />
        </div>
        <NoteField form={form} name="note" label="Note" />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href={back}>
            Cancel
          </a>
        </p>
      </form>
      <NameList id="schemes" names={choices.schemes} />
      <NameList id="classes" names={choices.classes} />
      <NameList id="rows" names={choices.rows} />
      <NameList id="lots" names={choices.lots} />
    </Page>
  )
}

type Part = { form: FormState; choices: RegisterChoices }

function WhatFields({ form, choices }: Part) {
  return (
    <div>
      <SelectField
        form={form}
        name="level"
        label="What it is"
        options={[
          { value: 'block', label: 'source block' },
          { value: 'vine', label: 'source vine' },
        ]}
        required
      />
      <TextField form={form} name="name" label="Name" required />
      <TextField form={form} name="registryNumber" label="Registry number" />
      <SelectField
        form={form}
        name="varietyId"
        label="Variety"
        options={choices.varieties.map(({ variety_id, name }) => ({
          value: variety_id,
          label: name,
        }))}
        required
      />
      <TextField form={form} name="clone" label="Clone" size={16} />
      <TextField form={form} name="scheme" label="Scheme" list="schemes" size={16} />
      <TextField form={form} name="class" label="Class" list="classes" size={16} />
    </div>
  )
}

function WhereFields({ form, choices }: Part) {
  return (
    <div>
      <SelectField
        form={form}
        name="parentSourceId"
        label="Stands in the source block"
        hint="for a source vine"
        options={choices.blocks.map(({ source_id, name }) => ({ value: source_id, label: name }))}
      />
      <NumberField form={form} name="plantedYear" label="Year of planting" />
      <TextField
        form={form}
        name="originLot"
        label="Grown from the lot"
        hint="its reference, when it was grown here"
        list="lots"
        size={16}
      />
      <TextField
        form={form}
        name="vineRow"
        label="Field vine that serves as this source: row"
        hint="like Lower bank, row 12"
        list="rows"
      />
      <NumberField form={form} name="vinePosition" label="Position in that row" />
    </div>
  )
}

function NameList({ id, names }: { id: string; names: string[] }) {
  return (
    <datalist id={id}>
      {names.map((name) => (
        <option value={name} />
      ))}
    </datalist>
  )
}
