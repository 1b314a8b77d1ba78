// The form of tonight's list: which rows, ready when, into the water when, in which tanks.
import type { Context } from 'hono'
import { instantOfLocal, localOfInstant } from '#trade/zone-time.ts'
import type { Policies } from '#trade/policies.ts'
import { TONIGHT_ROWS } from '../../grafting/tonight.ts'
import type { TonightAsked } from '../../grafting/tonight.ts'
import type { PlannedRow } from '../../grafting/tonight-needs.ts'
import { DRAIN_MINUTES, usualTimes } from '../../grafting/tonight-times.ts'
import { Refusal } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import type { Tank } from '../../store/tanks.ts'
import { FormReader, freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NumberField, TickField } from '../form-page.tsx'

/** How far ahead a list is worked out, in days. */
const DAYS_AHEAD = 30

/**
 * What the address asks for. Without rows it is null, and the form starts with the usual times;
 * what must be mended stands in the form.
 */
export function readAsked(
  c: Context<Env>,
  policies: Policies,
  now: Date,
  zone: string,
): { asked: TonightAsked | null; form: FormState } {
  const form = new FormReader(c.req.queries())
  const state: FormState = { values: form.values, errors: {}, general: null }
  if (form.raw('ready') === '' && form.all('rows').length === 0) {
    return { asked: null, form: freshForm(startOf(policies, now, zone)) }
  }
  const rowIds = form.all('rows').filter((id) => id !== '')
  if (rowIds.length === 0) form.problem('rows', 'choose the rows that are grafted')
  if (rowIds.length > TONIGHT_ROWS) {
    form.problem('rows', `at most ${TONIGHT_ROWS} rows fit on one list: choose fewer`)
  }
  const overage = form.optionalNumber('overage', 'Extra buds', 0, 500)
  const asked: TonightAsked = {
    rowIds,
    readyAt: coming(form, 'ready', 'Ready', now, zone),
    intoWaterAt: coming(form, 'into', 'Into the water', now, zone),
    drainMinutes: form.optionalWhole('drain', 'Minutes to drain', 0, 720),
    overageShare: overage === null ? null : overage / 100,
    budsPerVine: form.optionalWhole('buds', 'Buds on a vine', 1, 20),
    useCautioned: form.all('caution').includes('yes'),
    tankIds: form.all('tanks').length === 0 ? null : form.all('tanks'),
  }
  try {
    form.check()
    return { asked, form: state }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    for (const { field, message } of error.fields) state.errors[field] ??= message
    state.general = error.message
    return { asked: null, form: state }
  }
}

/** A time from now on, or null for the usual one. */
function coming(form: FormReader, name: string, label: string, now: Date, zone: string) {
  const value = form.raw(name)
  if (value === '') return null
  const read = instantOfLocal(value, zone)
  if (!read.ok) return form.problem(name, `${label}: ${read.remedy}`, null)
  const isPast = name === 'ready' && read.epochMs <= now.getTime()
  if (isPast) return form.problem(name, `${label} lies in the past: give a coming time`, null)
  if (read.epochMs > now.getTime() + DAYS_AHEAD * 86_400_000) {
    return form.problem(name, `${label} lies more than ${DAYS_AHEAD} days ahead`, null)
  }
  return new Date(read.epochMs)
}

function startOf(policies: Policies, now: Date, zone: string): Record<string, string> {
  const { intoWaterAt, readyAt } = usualTimes(policies, now, zone)
  return {
    ready: localOfInstant(readyAt.getTime(), zone),
    into: localOfInstant(intoWaterAt.getTime(), zone),
    drain: String(DRAIN_MINUTES),
    overage: String(Math.round(policies.fieldOverageShare.value * 1000) / 10),
  }
}

/** The form; nothing is recorded by it, so it asks with the address. */
export function TonightForm(props: {
  form: FormState
  rows: PlannedRow[]
  tanks: Tank[]
  season: number
}) {
  const { form, rows, tanks, season } = props
  return (
    <form method="get" class="on-screen">
      <FormProblems form={form} />
      <RowTicks form={form} rows={rows} season={season} />
      <div class="columns">
        <TimeField form={form} name="ready" label="Ready at" />
        <TimeField form={form} name="into" label="Into the water by" />
        <NumberField form={form} name="drain" label="Minutes to drain" />
        <NumberField form={form} name="overage" label="Extra buds, %" />
        <NumberField
          form={form}
          name="buds"
          label="Buds on a vine"
          hint="leave empty for what each row’s plan says"
        />
        <TickField
          form={form}
          name="caution"
          label="Wood with a caution"
          options={[{ value: 'yes', label: 'use it where the rest is not enough' }]}
        />
        <TickField
          form={form}
          name="tanks"
          label="Tanks (none ticked: all)"
          options={tanks.map((tank) => ({ value: tank.tankId, label: tankWords(tank) }))}
        />
      </div>
      <button class="main">Work out the list</button>
    </form>
  )
}

function tankWords({ name, bathId, litres, sticksIn, held }: Tank): string {
  const parts = [
    bathId === null ? 'stands empty' : 'filled',
    ...(litres === null ? [] : [`${litres} litres`]),
    ...(sticksIn > 0 ? [`${sticksIn} sticks in it`] : []),
    ...(held ? ['on hold: not used'] : []),
  ]
  return `${name} (${parts.join(', ')})`
}

function TimeField({ form, name, label }: { form: FormState; name: string; label: string }) {
  const error = form.errors[name]
  return (
    <div class={error === undefined ? 'field' : 'field wrong'}>
      <label for={`field-${name}`}>{label}</label>
      <input
        type="datetime-local"
        id={`field-${name}`}
        name={name}
        value={form.values[name]?.[0] ?? ''}
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

function RowTicks({ form, rows, season }: { form: FormState; rows: PlannedRow[]; season: number }) {
  const chosen = new Set(form.values.rows ?? [])
  const error = form.errors.rows
  const blocks = new Map<string, PlannedRow[]>()
  for (const row of rows) blocks.set(row.blockId, [...(blocks.get(row.blockId) ?? []), row])
  return (
    <fieldset class={error === undefined ? 'field' : 'field wrong'} id="field-rows">
      <legend>Rows to graft, as planned for {season}</legend>
      {error === undefined ? null : <p class="error">{error}</p>}
      {rows.length === 0 ? (
        <p class="note">
          No row is planned for {season}. <a href="/blocks">Plan one first</a>.
        </p>
      ) : null}
      {[...blocks.values()].map((inBlock) => (
        <details open={blocks.size === 1 || inBlock.some(({ rowId }) => chosen.has(rowId))}>
          <summary>{inBlock[0]?.block ?? 'A block without a name'}</summary>
          <div class="ticks">
            {inBlock.map((row) => (
              <label class="tick">
                <input
                  type="checkbox"
                  name="rows"
                  value={row.rowId}
                  checked={chosen.has(row.rowId)}
                />{' '}
                row {row.label}: {row.variety ?? 'unknown'} {row.clone ?? ''}
              </label>
            ))}
          </div>
        </details>
      ))}
    </fieldset>
  )
}
