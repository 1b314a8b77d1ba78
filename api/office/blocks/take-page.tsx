// The page on which take is counted: a stretch that grows, and a line for each grafted vine.
import type { Context } from 'hono'
import { latestCheck } from '../../grafting/grafts-to-check.ts'
import type { GraftRow } from '../../grafting/row-facts.ts'
import type { BudCounts } from '../../grafting/take-sheet.ts'
import type { PersonLine } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField, WhenField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { ProofLine } from '../proof-line.tsx'
import { shownDay } from '../times.ts'
import { personOptions } from './graft-page.tsx'
import { rowTitle } from './row-page.tsx'
import type { TakeContext } from './take-form.tsx'

/** The name of the input for one graft's count. */
export function countField(word: keyof BudCounts, graftId: string): string {
  return `${word}-${graftId}`
}

/** The page. */
export function TakePage(props: {
  c: Context<Env>
  take: TakeContext
  people: PersonLine[]
  form: FormState
}) {
  const { c, take, form } = props
  const { row } = take.reading.facts
  const single = take.position === null ? '' : `, vine ${take.position}`
  return (
    <Page
      c={c}
      title={`Count take: ${rowTitle(row)}${single}`}
      lead={
        take.season === null
          ? 'Nothing was grafted here.'
          : `Grafts of ${take.season}. Count buds: growing, callused but still, failed. ` +
            'A line left empty was not looked at.'
      }
    >
      {take.vines.size === 0 ? (
        <p class="note">
          No vine with a graft that could be looked at stands here.{' '}
          <a href={`/blocks/rows/${row.row_id}`}>Back to the row</a>
        </p>
      ) : (
        <form method="post">
          <FormProblems form={form} />
          <div class="columns">
            <SelectField
              form={form}
              name="personId"
              label="Looked at by"
              options={personOptions(props.people)}
              required
            />
            <WhenField form={form} name="when" label="When" />
          </div>
          {take.position === null ? <QuickFields form={form} /> : null}
          <Lines take={take} form={form} />
          {take.position === null ? null : (
            <NumberField
              form={form}
              name="shootLengthMm"
              label="Longest shoot"
              hint="in millimetres"
            />
          )}
          <NoteField form={form} name="note" label="Note" />
          <p class="actions">
            <button class="main">Record the count</button>
            <a class="button" href={backOf(take)}>
              Cancel
            </a>
          </p>
          <MoreVines take={take} />
        </form>
      )}
      <ProofLine c={c} />
    </Page>
  )
}

function backOf({ reading, position }: TakeContext): string {
  const { row_id: rowId } = reading.facts.row
  return position === null ? `/blocks/rows/${rowId}` : `/blocks/vines/${rowId}/${position}`
}

function QuickFields({ form }: { form: FormState }) {
  return (
    <fieldset class="stretch">
      <legend>A stretch that grows</legend>
      <div class="columns">
        <NumberField form={form} name="growFrom" label="All grafted vines from" />
        <NumberField form={form} name="growTo" label="to" />
        <SelectField
          form={form}
          name="growBuds"
          label="grow, with"
          options={[
            { value: 'all', label: 'every bud that was set' },
            { value: 'one', label: 'one bud each, the others not counted' },
          ]}
        />
      </div>
      <NoteField
        form={form}
        name="except"
        label="Except"
        hint="like 4 failed; 9, 11 callused; 30 to 32 not seen"
      />
    </fieldset>
  )
}

function Lines({ take, form }: { take: TakeContext; form: FormState }) {
  const head = ['Vine', 'Lot', 'Buds set', 'Growing', 'Callused', 'Failed', 'Last look']
  return (
    <Table caption="Vine by vine" head={head}>
      {[...take.listed.values()].flat().map((graft) => (
        <Line take={take} graft={graft} form={form} />
      ))}
    </Table>
  )
}

function Line({ take, graft, form }: { take: TakeContext; graft: GraftRow; form: FormState }) {
  const last = latestCheck(take.reading, graft)
  return (
    <tr>
      <th scope="row" class="number">
        {graft.position}
      </th>
      <td>{graft.reference ?? 'not registered'}</td>
      <td class="number">{graft.bud_count}</td>
      {(['growing', 'callused', 'failed'] as const).map((word) => (
        <td>
          <CountInput form={form} word={word} graft={graft} />
        </td>
      ))}
      <td class="quiet">
        {last === null
          ? 'none'
          : `${shownDay(last.checked_at, take.zone)}: ${last.growing} growing, ` +
            `${last.callused} callused, ${last.failed} failed`}
      </td>
    </tr>
  )
}

function CountInput(props: { form: FormState; word: keyof BudCounts; graft: GraftRow }) {
  const { form, word, graft } = props
  const name = countField(word, graft.graft_id)
  const error = form.errors[name]
  const label = `vine ${graft.position}, ${graft.reference ?? 'lot'}: buds ${word}`
  return (
    <div class={error === undefined ? undefined : 'wrong'}>
      <input
        type="text"
        inputmode="numeric"
        size={3}
        id={`field-${name}`}
        name={name}
        value={form.values[name]?.[0] ?? ''}
        aria-label={label}
        {...(error === undefined
          ? {}
          : { 'aria-invalid': 'true' as const, 'aria-describedby': `error-${name}` })}
      />
      {error === undefined ? null : (
        <p class="error" id={`error-${name}`}>
          {error}
        </p>
      )}
    </div>
  )
}

function MoreVines({ take }: { take: TakeContext }) {
  const next = take.skippedVines + take.listed.size
  if (take.vines.size <= next && take.skippedVines === 0) return null
  const path = `/blocks/rows/${take.reading.facts.row.row_id}/take?season=${take.season ?? ''}`
  return (
    <p>
      {take.listed.size} of {take.vines.size} vines are listed; save before going on.{' '}
      {take.vines.size > next ? <a href={`${path}&after=${next}`}>The next vines</a> : null}
      {take.skippedVines > 0 ? <a href={path}>The first vines</a> : null}
    </p>
  )
}
