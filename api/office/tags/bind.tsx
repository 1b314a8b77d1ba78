// Binding a tag, printed ahead, to a bundle, lot, place, source or row.
import type { Context, Hono } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { checkFreeTag, listTaggable } from '../../labels/checks.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, SelectField, TextField, WhenField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { Saved, afterSaving } from '../saved.tsx'

/** Adds the form that binds a tag; it comes back ready for the next one. */
export function addBindPages(pages: Hono<Env>): void {
  pages.get('/bind', async (c) => {
    const start = { code: c.req.query('code') ?? '', thing: c.req.query('thing') ?? '' }
    return show(c, await bindPage(c, freshForm(start)))
  })
  pages.post('/bind', (c) =>
    submit(c, { page: (form) => bindPage(c, form), save: (form) => saveBinding(c, form) }),
  )
}

async function saveBinding(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const desk = deskOf(c)
  const check = await checkFreeTag(db, form.text('code', 'The code'))
  if (!check.ok && form.raw('code') !== '') form.problem('code', check.message)
  const chosen = form.text('thing', 'What the tag is on')
  const thing = (await listTaggable(db)).find((candidate) => candidate.id === chosen)
  if (thing === undefined && chosen !== '') {
    form.problem('thing', 'this has a tag already, or is not on record: choose from the list')
  }
  const at = form.when('at', 'When', await nurseryTimeZone(db), desk.now)
  form.check()
  if (!check.ok || thing === undefined) throw new Error('an unchecked form got through')
  const body = { code: check.code, thing: { kind: thing.kind, id: thing.id } }
  await recordAtDesk(db, desk, [{ kind: 'tag.bound', body, occurredAt: at }])
  return afterSaving('/tags/bind', 1)
}

async function bindPage(c: Context<Env>, form: FormState) {
  const things = await listTaggable(c.get('services').db)
  return (
    <Page c={c} title="Bind a tag" lead="Scan or type the code on the tag, then say what it is on.">
      <Saved c={c} />
      <FormProblems form={form} />
      <form method="post" action="/tags/bind">
        <TextField
          form={form}
          name="code"
          label="Code"
          hint="eleven characters; spaces and small letters do not matter"
          required
          size={16}
        />
        <SelectField
          form={form}
          name="thing"
          label="On"
          required
          options={things.map(({ id, label }) => ({ value: id, label }))}
        />
        <WhenField form={form} name="at" label="When it was tied on" />
        <button class="main">Bind it</button>
      </form>
    </Page>
  )
}
