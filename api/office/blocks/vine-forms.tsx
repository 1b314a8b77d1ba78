// What happens to a single vine or graft: skipped, removed, planted anew, a graft gone.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { readGraft } from '../../grafting/read-graft.ts'
import { changeProblems, graftRemovalProblems, plantProblems } from '../../grafting/checks.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit, WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedNote, typedReason } from '../typed-text.ts'
import { personOptions } from './graft-page.tsx'
import { personWho } from './graft-save.ts'
import { thisYear } from './rows-form.tsx'
import { OriginList, readTrunk, readTrunkChoices, TrunkFields } from './trunk-fields.tsx'
import type { TrunkChoices } from './trunk-fields.tsx'
import { requiredVine, vineTitle } from './vine-page.tsx'

/** One form about one vine or graft: what it asks, and the entry it makes. */
type VineForm = {
  title: string
  lead: Child
  back: string
  fields: (form: FormState) => Child
  read: (form: FormReader, at: Date) => Promise<Draft> | Draft
}

type MakeForm = (c: Context<Env>) => Promise<VineForm>

/** The two handlers of such a form. */
function handlers(make: MakeForm) {
  return {
    show: async (c: Context<Env>) => show(c, await page(c, await make(c), freshForm())),
    save: async (c: Context<Env>) => {
      const one = await make(c)
      return submit(c, {
        save: (form) => save(c, one, form),
        page: (form) => page(c, one, form),
      })
    },
  }
}

/** A vine is passed over. */
export const skipForm = handlers(async (c) => {
  const vine = await requiredVine(c)
  const { rowId, position, path } = placeOf(c)
  return {
    title: `${vineTitle(vine)}: skipped`,
    lead: 'The vine stands, and was passed over this season.',
    back: path,
    fields: (form) => <NoteField form={form} name="reason" label="Why" required />,
    read: (form, at) => {
      const reason = typedReason(form, 'reason', 'the reason')
      form.addProblems(changeProblems(vine.record, at, 'when'))
      return { kind: 'vine.skipped', occurredAt: at, body: { vine: { rowId, position }, reason } }
    },
  }
})

/** A vine is gone. */
export const removeForm = handlers(async (c) => {
  const vine = await requiredVine(c)
  const { rowId, position, path } = placeOf(c)
  return {
    title: `${vineTitle(vine)}: removed`,
    lead: 'The place is empty from this time on; what was grafted on the vine stays recorded.',
    back: path,
    fields: (form) => <NoteField form={form} name="reason" label="Why" required />,
    read: (form, at) => {
      const reason = typedReason(form, 'reason', 'the reason')
      form.addProblems(changeProblems(vine.record, at, 'when'))
      return { kind: 'vine.removed', occurredAt: at, body: { rowId, position, reason } }
    },
  }
})

/** A new vine stands at the place. */
export const plantForm = handlers(async (c) => {
  const { db } = c.get('services')
  const vine = await requiredVine(c)
  const { rowId, position, path } = placeOf(c)
  const choices = await readTrunkChoices(db)
  const year = await thisYear(c)
  return {
    title: `${vineTitle(vine)}: planted`,
    lead:
      'A new vine stands here from this time on. Earlier grafts belong to the vine before it, ' +
      'which counts as gone.',
    back: path,
    fields: (form) => <PlantFields form={form} choices={choices} />,
    read: async (form, at) => {
      const trunk = await readTrunk(form, '', db, year)
      const note = typedNote(form, 'note', 'the note')
      form.addProblems(plantProblems(vine, at, 'when'))
      const body = { rowId, position, ...trunk, note }
      return { kind: 'vine.planted', occurredAt: at, body }
    },
  }
})

/** A graft is cut off, or broken and gone. */
export const graftRemovedForm = handlers(async (c) => {
  const { db } = c.get('services')
  const graft = found(await readGraft(db, pathId(c, 'graftId', 'graft')), 'graft')
  return {
    title: `Graft of ${graft.reference ?? 'an unregistered lot'} removed`,
    lead: `On vine ${graft.position} of ${graft.row_name ?? 'an unregistered row'}.`,
    back: `/blocks/vines/${graft.row_id}/${graft.position}`,
    fields: (form) => <NoteField form={form} name="reason" label="Why" required />,
    read: (form, at) => {
      const reason = typedReason(form, 'reason', 'the reason')
      form.addProblems(graftRemovalProblems(graft, at, { reason: 'reason', when: 'when' }))
      return { kind: 'graft.removed', occurredAt: at, body: { graftId: graft.graft_id, reason } }
    },
  }
})

function placeOf(c: Context<Env>) {
  const rowId = c.req.param('rowId') ?? ''
  const position = Number(c.req.param('position'))
  return { rowId, position, path: `/blocks/vines/${rowId}/${position}` }
}

async function save(c: Context<Env>, one: VineForm, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const at = form.when('when', 'When', await nurseryTimeZone(db), clock.now())
  const personId = await personWho(c, form, at)
  const draft = await one.read(form, at)
  form.check()
  await recordAtDesk(db, { ...deskOf(c), personId }, [draft])
  return afterSaving(one.back, 1)
}

async function page(c: Context<Env>, one: VineForm, form: FormState) {
  const people = await listPeople(c.get('services').db)
  return (
    <Page c={c} title={one.title} lead={one.lead}>
      <form method="post">
        <FormProblems form={form} />
        {one.fields(form)}
        <div class="columns">
          <SelectField
            form={form}
            name="personId"
            label="Done by"
            options={personOptions(people)}
            required
          />
          <WhenField form={form} name="when" label="When" />
        </div>
        <p class="actions">
          <button class="main">Record</button>
          <a class="button" href={one.back}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

function PlantFields({ form, choices }: { form: FormState; choices: TrunkChoices }) {
  return (
    <>
      <TrunkFields form={form} prefix="" choices={choices} />
      <OriginList choices={choices} />
      <NoteField form={form} name="note" label="Note" />
    </>
  )
}
