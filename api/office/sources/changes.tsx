// The forms that change a source's standing and enter a health test.
import type { Context } from 'hono'
import { HEALTH_AGENTS } from '#trade/health-agents.ts'
import { localDay } from '#trade/zone-time.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { listParties, nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { standingProblems, testProblems } from '../../sources/checks.ts'
import { readSourceLine, readStandings, standings } from '../../sources/read.ts'
import type { SourceLine } from '../../sources/read.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { DayField, FormProblems, NoteField, NumberField } from '../form-page.tsx'
import { SelectField, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNameOrNull, typedNote, typedReason } from '../typed-text.ts'

const results = ['not detected', 'detected', 'inconclusive'] as const

/** Shows the form for a change of standing. */
export async function showStandingForm(c: Context<Env>) {
  const source = await sourceInPath(c)
  return show(c, standingPage(c, source, freshForm({ effectiveFrom: await today(c) })))
}

/** Saves a change of standing. */
export async function saveStanding(c: Context<Env>) {
  const source = await sourceInPath(c)
  return submit(c, {
    save: async (form) => {
      const { db } = c.get('services')
      const change = {
        standing: form.choice('standing', 'the standing', standings),
        effectiveFrom: form.day('effectiveFrom', 'the first day'),
        reason: typedReason(form, 'reason', 'the reason'),
      }
      const history = await readStandings(db, source.source_id)
      if (form.raw('standing') !== '') form.addProblems(standingProblems(history, change))
      form.check()
      const body = { sourceId: source.source_id, ...change }
      await recordAtDesk(db, deskOf(c), [{ kind: 'source.standing_changed', body }])
      return afterSaving(`/sources/${source.source_id}`, 1)
    },
    page: (form) => standingPage(c, source, form),
  })
}

/** Shows the form for a health test. */
export async function showTestForm(c: Context<Env>) {
  const source = await sourceInPath(c)
  return show(c, await testPage(c, source, freshForm({ pooledVines: '1' })))
}

/** Saves a health test. */
export async function saveTest(c: Context<Env>) {
  const source = await sourceInPath(c)
  return submit(c, {
    save: (form) => saveTestForm(c, source, form),
    page: (form) => testPage(c, source, form),
  })
}

async function saveTestForm(c: Context<Env>, source: SourceLine, form: FormReader) {
  const { db, clock } = c.get('services')
  const body = {
    sourceId: source.source_id,
    agent: typedName(form, 'agent', 'the agent'),
    method: typedName(form, 'method', 'the method'),
    laboratory: typedName(form, 'laboratory', 'the laboratory'),
    sampledOn: form.day('sampledOn', 'the day of sampling'),
    pooledVines: form.whole('pooledVines', 'the number of vines in the sample', 1, 1000),
    result: form.choice('result', 'the result', results),
    sampleReference: typedNameOrNull(form, 'sampleReference', 'the sample’s number'),
    note: typedNote(form, 'note', 'the note'),
  }
  const zone = await nurseryTimeZone(db)
  if (/^\d{4}-/.test(body.sampledOn)) {
    form.addProblems(testProblems(body.sampledOn, clock.now(), zone))
  }
  form.check()
  await recordAtDesk(db, deskOf(c), [{ kind: 'source.tested', body }])
  return afterSaving(`/sources/${source.source_id}`, 1)
}

async function sourceInPath(c: Context<Env>): Promise<SourceLine> {
  const { db, clock } = c.get('services')
  return found(await readSourceLine(db, pathId(c, 'sourceId', 'source'), clock.now()), 'source')
}

async function today(c: Context<Env>): Promise<string> {
  const { db, clock } = c.get('services')
  return localDay(clock.now().getTime(), await nurseryTimeZone(db))
}

function standingPage(c: Context<Env>, source: SourceLine, form: FormState) {
  const now =
    source.standing === null
      ? 'No standing is recorded yet.'
      : `Now ${source.standing}, since ${source.standing_since}.`
  return (
    <Page
      c={c}
      title={`Standing of ${source.name}`}
      lead={`${now} Wood cut while a source is suspended or withdrawn is stopped.`}
    >
      <form method="post">
        <FormProblems form={form} />
        <SelectField
          form={form}
          name="standing"
          label="Standing in the register"
          options={standings.map((standing) => ({ value: standing, label: standing }))}
          required
        />
        <DayField
          form={form}
          name="effectiveFrom"
          label="From the day"
          hint="as the register says, not the day of this entry"
          required
        />
        <NoteField form={form} name="reason" label="Reason" required />
        <Buttons source={source} />
      </form>
    </Page>
  )
}

async function testPage(c: Context<Env>, source: SourceLine, form: FormState) {
  const laboratories = await listParties(c.get('services').db, 'laboratory')
  return (
    <Page
      c={c}
      title={`Health test of ${source.name}`}
      lead="As the laboratory reported it. A test changes no standing by itself."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <div>
            <TextField form={form} name="agent" label="Agent" list="agents" required />
            <SelectField
              form={form}
              name="result"
              label="Result"
              options={results.map((result) => ({ value: result, label: result }))}
              required
            />
            <TextField
              form={form}
              name="method"
              label="Method"
              hint="like ELISA, RT-PCR or indexing"
              size={20}
              required
            />
            <TextField form={form} name="laboratory" label="Laboratory" list="labs" required />
          </div>
          <div>
            <DayField form={form} name="sampledOn" label="Sampled on" required />
            <NumberField
              form={form}
              name="pooledVines"
              label="Vines in the sample"
              hint="more than one for a pooled sample"
              required
            />
            <TextField form={form} name="sampleReference" label="The sample’s number" size={20} />
          </div>
        </div>
        <NoteField form={form} name="note" label="Note" />
        <Buttons source={source} />
      </form>
      <datalist id="agents">
        {HEALTH_AGENTS.map((agent) => (
          <option value={agent.name} />
        ))}
      </datalist>
      <datalist id="labs">
        {laboratories.map((laboratory) => (
          <option value={laboratory.name} />
        ))}
      </datalist>
    </Page>
  )
}

function Buttons({ source }: { source: SourceLine }) {
  return (
    <p class="actions">
      <button class="main">Save</button>
      <a class="button" href={`/sources/${source.source_id}`}>
        Cancel
      </a>
    </p>
  )
}
