// Adds rows to a block by hand: one, or several that are alike.
import type { Context } from 'hono'
import { POSITION_LIMIT } from '#wire/basics.ts'
import { ROW_LIMIT } from '#wire/kinds/nursery.ts'
import { localDay } from '#trade/zone-time.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { foldName } from '../../nursery/closest-name.ts'
import { readPositionList } from '../../nursery/position-list.ts'
import { listRows } from '../../nursery/read-blocks.ts'
import type { RowNow } from '../../nursery/read-blocks.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { missingProblems } from '../../nursery/row-checks.ts'
import { readRowLabels } from '../../nursery/row-labels.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NumberField, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedNameOrNull } from '../typed-text.ts'
import { requiredBlock } from './list.tsx'
import { OriginList, readTrunk, readTrunkChoices, TrunkFields } from './trunk-fields.tsx'

/** Shows the form. */
export async function showRowsForm(c: Context<Env>) {
  return show(c, await page(c, freshForm()))
}

/** Lays the new rows out. */
export async function saveRows(c: Context<Env>) {
  const { block_id: blockId } = await requiredBlock(c)
  return submit(c, {
    save: (form) => save(c, blockId, form),
    page: (form) => page(c, form),
  })
}

async function save(c: Context<Env>, blockId: string, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const existing = await listRows(db, blockId)
  const labels = readLabels(form, existing)
  const positionCount = form.whole('positionCount', 'the number of positions', 1, POSITION_LIMIT)
  const headAt = typedNameOrNull(form, 'headAt', 'where the head is')
  const missing = readMissing(form)
  if (form.raw('positionCount') !== '') {
    form.addProblems(missingProblems({ positionCount, missing }))
  }
  const trunk = await readTrunk(form, '', db, await thisYear(c))
  form.check()
  const last = Math.max(0, ...existing.map((row) => row.sequence))
  const drafts = labels.map((label, nr): Draft => {
    const sections =
      trunk.layers.length === 0 && trunk.plantedYear === null
        ? []
        : [{ fromPosition: 1, toPosition: positionCount, ...trunk }]
    const place = { rowId: newId(), blockId, label, sequence: last + 1 + nr }
    return {
      kind: 'row.laid_out',
      body: { ...place, positionCount, headAt, missing, sections },
    }
  })
  const ids = await recordAtDesk(db, deskOf(c), drafts)
  return afterSaving(`/blocks/${blockId}`, ids.length)
}

function readLabels(form: FormReader, existing: readonly RowNow[]): string[] {
  if (form.raw('labels') === '') return form.problem('labels', 'the label is needed', [])
  const read = readRowLabels(form.raw('labels'))
  if (!read.ok) return form.problem('labels', `${read.message} ${read.remedy}`, [])
  const taken = new Set(existing.map((row) => foldName(row.label)))
  const twins = read.value.filter((label) => taken.has(foldName(label)))
  if (twins.length > 0) {
    const message =
      `the block has ${twins.length === 1 ? 'row' : 'rows'} ${twins.join(', ')} already: ` +
      'lay a row out again on its own page'
    form.problem('labels', message)
  }
  if (existing.length + read.value.length > ROW_LIMIT) {
    form.problem('labels', `a block has at most ${ROW_LIMIT} rows: divide it into several`)
  }
  return read.value
}

/** The list of positions without a vine, as typed into `missing`. */
export function readMissing(form: FormReader): number[] {
  const read = readPositionList(form.raw('missing'))
  return read.ok ? read.value : form.problem('missing', `${read.message} ${read.remedy}`, [])
}

/** The calendar year by the nursery's own days. */
export async function thisYear(c: Context<Env>): Promise<number> {
  const { db, clock } = c.get('services')
  return Number(localDay(clock.now().getTime(), await nurseryTimeZone(db)).slice(0, 4))
}

async function page(c: Context<Env>, form: FormState) {
  const block = await requiredBlock(c)
  const choices = await readTrunkChoices(c.get('services').db)
  return (
    <Page
      c={c}
      title={`Add rows to ${block.name}`}
      lead="One row, or several that are alike. Rows with several trunks are put right afterwards."
    >
      <form method="post">
        <FormProblems form={form} />
        <TextField
          form={form}
          name="labels"
          label="Row"
          hint="one label, or several: 1 to 12, or A, B, C"
          size={20}
          required
        />
        <NumberField
          form={form}
          name="positionCount"
          label="Positions in each"
          hint="places with and without a vine, counted from the head"
          required
        />
        <TextField
          form={form}
          name="headAt"
          label="The head, with position 1, is at"
          hint="in words, like the track"
          size={20}
        />
        <TextField
          form={form}
          name="missing"
          label="Positions without a vine"
          hint="like 3, 17 to 19"
          size={30}
        />
        <h2>Trunk before grafting</h2>
        <TrunkFields form={form} prefix="" choices={choices} />
        <OriginList choices={choices} />
        <p class="actions">
          <button class="main">Add</button>
          <a class="button" href={`/blocks/${block.block_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
