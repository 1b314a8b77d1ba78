// Plans what is to be grafted: on a stretch of one row, or on several rows of a block at once.
import type { Context } from 'hono'
import { POSITION_LIMIT } from '#wire/basics.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { listRows, readRow } from '../../nursery/read-blocks.ts'
import type { RowNow } from '../../nursery/read-blocks.ts'
import { planProblems } from '../../nursery/row-checks.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NumberField, show, submit, TickField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { requiredBlock } from './list.tsx'
import { PlanFields, planStart, readPlan, readPlanChoices } from './plan-fields.tsx'
import { rowTitle } from './row-page.tsx'

/** Shows the form for a stretch of one row. */
export async function showRowPlan(c: Context<Env>) {
  const row = await rowInPath(c)
  const stretch = { fromPosition: '1', toPosition: String(row.position_count) }
  const form = freshForm({ ...(await planStart(c)), ...stretch })
  return show(c, await rowPage(c, row, form))
}

/** Saves the plan of a stretch. */
export async function saveRowPlan(c: Context<Env>) {
  const row = await rowInPath(c)
  return submit(c, {
    save: (form) => saveRow(c, row, form),
    page: (form) => rowPage(c, row, form),
  })
}

/** Shows the form for whole rows of a block. */
export async function showBlockPlan(c: Context<Env>) {
  const { rows } = await blockWithRows(c)
  const all = rows.map((row) => row.row_id)
  return show(c, await blockPage(c, freshForm({ ...(await planStart(c)), rows: all })))
}

/** Saves one plan for each row chosen. */
export function saveBlockPlan(c: Context<Env>) {
  return submit(c, {
    save: (form) => saveBlock(c, form),
    page: (form) => blockPage(c, form),
  })
}

async function rowInPath(c: Context<Env>): Promise<RowNow> {
  return found(await readRow(c.get('services').db, pathId(c, 'rowId', 'row')), 'row')
}

async function blockWithRows(c: Context<Env>) {
  const block = await requiredBlock(c)
  return { block, rows: await listRows(c.get('services').db, block.block_id) }
}

async function saveRow(c: Context<Env>, row: RowNow, form: FormReader): Promise<string> {
  const stretch = {
    fromPosition: form.whole('fromPosition', 'the first position', 1, POSITION_LIMIT),
    toPosition: form.whole('toPosition', 'the last position', 1, POSITION_LIMIT),
  }
  const plan = await readPlan(c, form)
  if (form.raw('fromPosition') !== '' && form.raw('toPosition') !== '') {
    form.addProblems(planProblems(row, stretch))
  }
  form.check()
  const body = { rowId: row.row_id, ...stretch, ...plan }
  await recordAtDesk(c.get('services').db, deskOf(c), [{ kind: 'row.planned', body }])
  return afterSaving(`/blocks/rows/${row.row_id}`, 1)
}

async function saveBlock(c: Context<Env>, form: FormReader): Promise<string> {
  const { block, rows } = await blockWithRows(c)
  const ticked = new Set(form.all('rows'))
  const chosen = rows.filter((row) => ticked.has(row.row_id))
  if (chosen.length === 0) form.problem('rows', 'tick at least one row')
  const plan = await readPlan(c, form)
  form.check()
  const drafts = chosen.map((row): Draft => {
    const stretch = { rowId: row.row_id, fromPosition: 1, toPosition: row.position_count }
    return { kind: 'row.planned', body: { ...stretch, ...plan } }
  })
  const ids = await recordAtDesk(c.get('services').db, deskOf(c), drafts)
  return afterSaving(`/blocks/${block.block_id}`, ids.length)
}

async function rowPage(c: Context<Env>, row: RowNow, form: FormState) {
  const choices = await readPlanChoices(c)
  return (
    <Page
      c={c}
      title={`Plan ${rowTitle(row)}`}
      lead="A later plan covers an earlier one for the same vines and season."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <NumberField form={form} name="fromPosition" label="From position" required />
          <NumberField
            form={form}
            name="toPosition"
            label="To position"
            hint={`the row has ${row.position_count}`}
            required
          />
        </div>
        <PlanFields form={form} choices={choices} />
        <Buttons back={`/blocks/rows/${row.row_id}`} />
      </form>
    </Page>
  )
}

async function blockPage(c: Context<Env>, form: FormState) {
  const { block, rows } = await blockWithRows(c)
  const choices = await readPlanChoices(c)
  const options = rows.map((row) => ({
    value: row.row_id,
    label: `row ${row.label} (${row.position_count} positions)`,
  }))
  return (
    <Page
      c={c}
      title={`Plan ${block.name}`}
      lead="The same for whole rows. A stretch of a row is planned on the row’s own page."
    >
      {rows.length === 0 ? (
        <p class="note">The block has no rows yet: add them first.</p>
      ) : (
        <form method="post">
          <FormProblems form={form} />
          <PlanFields form={form} choices={choices} />
          <div class="ticks">
            <TickField form={form} name="rows" label="Rows" options={options} />
          </div>
          <Buttons back={`/blocks/${block.block_id}`} />
        </form>
      )}
    </Page>
  )
}

function Buttons({ back }: { back: string }) {
  return (
    <p class="actions">
      <button class="main">Save</button>
      <a class="button" href={back}>
        Cancel
      </a>
    </p>
  )
}
