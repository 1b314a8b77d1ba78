// The form that opens lots, blocks, vines and recalls to an auditor, and the link that comes of it.
import type { Context } from 'hono'
import { AUDIT_LINK_DAYS, AUDIT_SCOPE_LIMIT, makeAuditLink } from '../../people/audit-links.ts'
import type { OpenedThing } from '../../people/audit-links.ts'
import { findLots, findRecalls, findVines } from '../../people/audit-scope.ts'
import { listBlocks } from '../../nursery/read-blocks.ts'
import { requestOrigin } from '../../platform/request.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, show, TextField, TickField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { typedName } from '../typed-text.ts'
import { SecretLink } from './secret.tsx'
import { showOnce } from './show-once.ts'

const dayMs = 86_400_000

/** Asks for whom and what. */
export async function showNewAudit(c: Context<Env>) {
  return show(
    c,
    await auditPage(c, freshForm({ days: '14', recalls: c.req.query('recall') ?? '' })),
  )
}

/** Makes the link and shows it, once. */
export function saveNewAudit(c: Context<Env>) {
  return showOnce(c, { make: (form) => make(c, form), page: (form) => auditPage(c, form) })
}

async function make(c: Context<Env>, form: FormReader) {
  const { db, clock } = c.get('services')
  const auditorName = typedName(form, 'auditor', 'who the auditor is')
  const days = form.whole('days', 'the number of days', 1, AUDIT_LINK_DAYS)
  const scope = await readScope(c, form)
  form.check()
  const now = clock.now()
  const expiresAt = new Date(now.getTime() + days * dayMs)
  const by = { personId: c.get('person').personId, now }
  const { token } = await makeAuditLink(db, { auditorName, expiresAt, scope }, by)
  return (
    <Page c={c} title={`A link for ${auditorName}`}>
      <SecretLink
        address={`${requestOrigin(c)}/open/${token}`}
        label="Link to the record"
        note={
          `Shown only now. Whoever has it sees ${scope.length} things for ${days} days, and ` +
          'nothing else; it can be ended at any time.'
        }
      />
      <p>
        <a href="/people/audits">To the links</a>
      </p>
    </Page>
  )
}

async function readScope(c: Context<Env>, form: FormReader): Promise<OpenedThing[]> {
  const { db } = c.get('services')
  const lots = await findLots(db, form.raw('lots'))
  const vines = await findVines(db, form.raw('vines'))
  for (const problem of lots.problems) form.problem('lots', problem)
  const recalls = await findRecalls(db, form.raw('recalls'))
  for (const problem of vines.problems) form.problem('vines', problem)
  for (const problem of recalls.problems) form.problem('recalls', problem)
  const known = new Set((await listBlocks(db)).map((block) => block.block_id))
  const blocks = form
    .all('blocks')
    .filter((blockId) => known.has(blockId))
    .map((blockId): OpenedThing => ({ kind: 'block', blockId }))
  const scope = [...lots.things, ...blocks, ...vines.things, ...recalls.things]
  const isTyped = ['lots', 'vines', 'recalls'].some((name) => form.raw(name) !== '')
  if (scope.length === 0 && !isTyped) {
    form.problem('lots', 'name at least one lot, block, vine or recall')
  }
  if (scope.length > AUDIT_SCOPE_LIMIT) {
    form.problem('lots', `${scope.length} things; a link opens ${AUDIT_SCOPE_LIMIT} at the most`)
  }
  return scope
}

async function auditPage(c: Context<Env>, form: FormState) {
  const blocks = await listBlocks(c.get('services').db)
  const options = blocks.map((block) => ({ value: block.block_id, label: block.name }))
  return (
    <Page
      c={c}
      title="Open the record to an auditor"
      lead="The auditor sees the pages of what you name, and where its wood came from."
    >
      <form method="post" action="/people/audits/new">
        <FormProblems form={form} />
        <TextField
          form={form}
          name="auditor"
          label="For whom"
          hint="the auditor and the body they come from"
          required
        />
        <NumberField form={form} name="days" label="For how many days" required />
        <NoteField form={form} name="lots" label="Lots" hint="one reference on each line" />
        {options.length === 0 ? null : (
          <TickField
            form={form}
            name="blocks"
            label="Blocks"
            hint="with their rows and every vine in them"
            options={options}
          />
        )}
        <NoteField
          form={form}
          name="vines"
          label="Single vines"
          hint="one on each line, like Upper block / 4 / 17"
        />
        <NoteField
          form={form}
          name="recalls"
          label="Recalls"
          hint="one on each line, the address of its page; opens its dossier and no other page"
        />
        <p class="actions">
          <button class="main">Make the link</button>
          <a class="button" href="/people/audits">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
