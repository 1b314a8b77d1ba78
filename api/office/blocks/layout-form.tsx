// Lays one row out again: its label, length, missing places, and the trunk of each stretch.
import type { Context } from 'hono'
import { POSITION_LIMIT } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import { ROW_LIMIT, SECTION_LIMIT } from '#wire/kinds/nursery.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { readNames } from '../../journal/names.ts'
import { writePositionList } from '../../nursery/position-list.ts'
import { listRows, readRow } from '../../nursery/read-blocks.ts'
import type { RowNow } from '../../nursery/read-blocks.ts'
import { recordedInRows } from '../../nursery/recorded-in-rows.ts'
import { layoutProblems } from '../../nursery/row-checks.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NumberField, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNameOrNull } from '../typed-text.ts'
import { rowTitle } from './row-page.tsx'
import { readMissing, thisYear } from './rows-form.tsx'
import {
  OriginList,
  readTrunk,
  readTrunkChoices,
  TrunkFields,
  trunkStart,
} from './trunk-fields.tsx'

type Section = EntryBody<'row.laid_out'>['sections'][number]

/** Empty stretches offered beside those that the row has. */
const SPARE_SECTIONS = 2

/** Shows the form, filled with the row as it stands. */
export async function showLayoutForm(c: Context<Env>) {
  const row = await rowInPath(c)
  const origins = row.sections.flatMap((section) =>
    section.layers.flatMap((layer) => layer.origin_id ?? []),
  )
  const names = await readNames(c.get('services').db, origins)
  return show(c, await page(c, row, freshForm(startOf(row, names))))
}

/** Lays the row out again. */
export async function saveLayout(c: Context<Env>) {
  const row = await rowInPath(c)
  return submit(c, {
    save: (form) => save(c, row, form),
    page: (form) => page(c, row, form),
  })
}

async function rowInPath(c: Context<Env>): Promise<RowNow> {
  return found(await readRow(c.get('services').db, pathId(c, 'rowId', 'row')), 'row')
}

function startOf(row: RowNow, names: ReadonlyMap<string, string>): Record<string, string> {
  const start: Record<string, string> = {
    label: row.label,
    sequence: String(row.sequence),
    positionCount: String(row.position_count),
    headAt: row.head_at ?? '',
    missing: writePositionList(row.missing),
  }
  for (const [nr, section] of row.sections.entries()) {
    start[`s${nr}_from`] = String(section.from_position)
    start[`s${nr}_to`] = String(section.to_position)
    Object.assign(start, trunkStart(`s${nr}_`, section, names))
  }
  return start
}

async function save(c: Context<Env>, row: RowNow, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const { row_id: rowId, block_id: blockId } = row
  const typed = await readSections(c, row, form)
  const layout = {
    rowId,
    blockId,
    label: typedName(form, 'label', 'the label', 20),
    sequence: form.whole('sequence', 'the place in the block', 1, ROW_LIMIT),
    positionCount: form.whole('positionCount', 'the number of positions', 1, POSITION_LIMIT),
    headAt: typedNameOrNull(form, 'headAt', 'where the head is'),
    missing: readMissing(form),
    sections: typed.map(({ section }) => section),
  }
  const recorded = (await recordedInRows(db, [rowId])).get(rowId)
  const others = await listRows(db, blockId)
  const problems = layoutProblems(layout, others, recorded?.lastGrafted ?? 0)
  // Stretches left empty do not count, so a stretch's number is not that of its fields.
  const fieldOf = (field: string) =>
    field.replace(/^s(\d+)_/, (_, nr: string) => `s${typed[Number(nr)]?.place ?? nr}_`)
  form.addProblems(
    problems
      .map(({ field, message }) => ({ field: fieldOf(field), message }))
      .filter(({ field }) => form.raw(field) !== ''),
  )
  form.check()
  await recordAtDesk(db, deskOf(c), [{ kind: 'row.laid_out', body: layout }])
  return afterSaving(`/blocks/rows/${rowId}`, 1)
}

async function readSections(
  c: Context<Env>,
  row: RowNow,
  form: FormReader,
): Promise<{ place: number; section: Section }[]> {
  const { db } = c.get('services')
  const year = await thisYear(c)
  const sections: { place: number; section: Section }[] = []
  for (let nr = 0; nr < sectionCount(row); nr += 1) {
    const prefix = `s${nr}_`
    const names = Object.keys(form.values).filter((name) => name.startsWith(prefix))
    if (names.every((name) => form.raw(name) === '')) continue
    const what = `of stretch ${nr + 1}`
    const fromPosition = form.whole(
      `${prefix}from`,
      `the first position ${what}`,
      1,
      POSITION_LIMIT,
    )
    const toPosition = form.whole(`${prefix}to`, `the last position ${what}`, 1, POSITION_LIMIT)
    const trunk = await readTrunk(form, prefix, db, year)
    sections.push({ place: nr, section: { fromPosition, toPosition, ...trunk } })
  }
  return sections
}

function sectionCount(row: RowNow): number {
  return Math.min(SECTION_LIMIT, row.sections.length + SPARE_SECTIONS)
}

async function page(c: Context<Env>, row: RowNow, form: FormState) {
  const choices = await readTrunkChoices(c.get('services').db)
  return (
    <Page
      c={c}
      title={`Lay out ${rowTitle(row)}`}
      lead={
        'The row as it stands now. Vines that went or came at a known time are recorded on the ' +
        'vine’s own page instead.'
      }
    >
      {row.sections.some((section) => section.layers.length > 2) ? (
        <p class="care">
          A trunk here has more layers than this form: saving keeps only the rootstock and the first
          interstock of each stretch.
        </p>
      ) : null}
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <TextField form={form} name="label" label="Label" size={12} required />
          <NumberField form={form} name="sequence" label="Place in the block, from 1" required />
          <NumberField form={form} name="positionCount" label="Positions" required />
          <TextField form={form} name="headAt" label="The head is at" size={20} />
        </div>
        <TextField
          form={form}
          name="missing"
          label="Positions without a vine"
          hint="like 3, 17 to 19"
          size={40}
        />
        {Array.from({ length: sectionCount(row) }, (_, nr) => (
          <fieldset class="stretch">
            <legend>Stretch {nr + 1}</legend>
            <div class="columns">
              <NumberField form={form} name={`s${nr}_from`} label="From position" />
              <NumberField form={form} name={`s${nr}_to`} label="To position" />
            </div>
            <TrunkFields form={form} prefix={`s${nr}_`} choices={choices} />
          </fieldset>
        ))}
        <OriginList choices={choices} />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href={`/blocks/rows/${row.row_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
