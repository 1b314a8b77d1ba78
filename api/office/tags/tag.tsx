// One tag: what it is on, and the forms that replace, reprint or spoil it.
import type { Context, Hono } from 'hono'
import { formatTagCode } from '#trade/tag-code.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { checkBoundTag, checkFreeTag, checkKnownTag, tagThingWords } from '../../labels/checks.ts'
import { BUILT_IN_FORMS } from '../../labels/built-in-forms.ts'
import type { TagDetail } from '../../labels/read-tags.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { ThingKind } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, NoteField, TextField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { Saved, afterSaving } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { typedReason } from '../typed-text.ts'

/** Adds the page of one code and its forms. */
export function addTagPages(pages: Hono<Env>): void {
  pages.get('/codes/:code', async (c) => show(c, await tagPage(c, freshForm())))
  const forms = { spoil, replace, reprint }
  for (const [name, save] of Object.entries(forms)) {
    pages.post(`/codes/:code/${name}`, (c) =>
      submit(c, { page: (form) => tagPage(c, form), save: (form) => save(c, form) }),
    )
  }
}

async function readCode(c: Context<Env>): Promise<{ code: string; tag: TagDetail }> {
  const check = await checkKnownTag(c.get('services').db, c.req.param('code') ?? '')
  if (!check.ok) refuse('not_found', check.message, { status: 404 })
  return check
}

async function spoil(c: Context<Env>, form: FormReader): Promise<string> {
  const { code, tag } = await readCode(c)
  if (tag.ended_how !== null) form.problem('spoilReason', `it was ${tag.ended_how} already`)
  const reason = typedReason(form, 'spoilReason', 'The reason')
  form.check()
  return record(c, code, { kind: 'tag.spoiled', body: { code, reason } })
}

async function replace(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const { code } = await readCode(c)
  const old = await checkBoundTag(db, code)
  if (!old.ok) form.problem('newCode', old.message)
  const fresh = await checkFreeTag(db, form.text('newCode', 'The new code'))
  if (!fresh.ok && form.raw('newCode') !== '') form.problem('newCode', fresh.message)
  const reason = typedReason(form, 'replaceReason', 'The reason')
  form.check()
  if (!old.ok || !fresh.ok) throw new Error('an unchecked form got through')
  const thing = { kind: ThingKind.parse(old.tag.thing_kind), id: old.tag.thing_id ?? '' }
  const body = { oldCode: code, newCode: fresh.code, thing, reason }
  return record(c, fresh.code, { kind: 'tag.replaced', body })
}

async function reprint(c: Context<Env>, form: FormReader): Promise<string> {
  const { code, tag } = await readCode(c)
  if (tag.ended_how !== null) {
    form.problem('reprintReason', `it was ${tag.ended_how}: print a new tag instead`)
  }
  const reprintReason = typedReason(form, 'reprintReason', 'The reason')
  form.check()
  const printId = newId()
  const payload = tag.last_payload === 'leaving label' ? tag.last_payload : 'field tag'
  const formName = BUILT_IN_FORMS['roll-100x25']?.name ?? 'Roll'
  const body: EntryBody<'tag.printed'> = {
    ...{ printId, payload, form: formName },
    ...{ codes: [code], reprintReason },
  }
  await recordAtDesk(c.get('services').db, deskOf(c), [{ kind: 'tag.printed', body }])
  return afterSaving(`/tags/prints/${printId}`, 1)
}

async function record(c: Context<Env>, code: string, draft: Draft): Promise<string> {
  await recordAtDesk(c.get('services').db, deskOf(c), [draft])
  return afterSaving(`/tags/codes/${code}`, 1)
}

async function tagPage(c: Context<Env>, form: FormState) {
  const { code, tag } = await readCode(c)
  const zone = await nurseryTimeZone(c.get('services').db)
  return (
    <Page c={c} title={`Tag ${formatTagCode(code)}`}>
      <Saved c={c} />
      <FormProblems form={form} />
      <dl class="facts">
        <dt>On</dt>
        <dd>{tag.thing_kind === null ? 'nothing yet' : <ThingLink tag={tag} />}</dd>
        {tag.bound_at === null ? null : (
          <>
            <dt>Since</dt>
            <dd>{shownTime(tag.bound_at, zone)}</dd>
          </>
        )}
        {tag.ended_how === null || tag.ended_at === null ? null : (
          <>
            <dt>Ended</dt>
            <dd>
              {tag.ended_how} {shownTime(tag.ended_at, zone)}: {tag.ended_reason}
              {tag.replaced_by === null ? null : (
                <>
                  {' '}
                  by <a href={`/tags/codes/${tag.replaced_by}`}>{formatTagCode(tag.replaced_by)}</a>
                </>
              )}
            </dd>
          </>
        )}
        <dt>Printed</dt>
        <dd>{tag.prints === 1 ? 'once' : `${tag.prints} times`}</dd>
      </dl>
      {tag.ended_how === null ? <TagForms tag={tag} form={form} /> : null}
    </Page>
  )
}

function ThingLink({ tag }: { tag: TagDetail }) {
  const words = tagThingWords(tag)
  if (tag.lot_id !== null) return <a href={`/lots/${tag.lot_id}`}>{words}</a>
  const pages: Record<string, string> = { source: '/sources/', row: '/blocks/rows/' }
  const page = pages[tag.thing_kind ?? '']
  return page === undefined ? <>{words}</> : <a href={`${page}${tag.thing_id}`}>{words}</a>
}

function TagForms({ tag, form }: { tag: TagDetail; form: FormState }) {
  const action = `/tags/codes/${tag.code}`
  return (
    <div class="columns">
      {tag.thing_kind === null ? (
        <section>
          <h2>Bind</h2>
          <p>
            <a class="button main" href={`/tags/bind?code=${tag.code}`}>
              Say what it is on
            </a>
          </p>
        </section>
      ) : (
        <section>
          <h2>Replace</h2>
          <form method="post" action={`${action}/replace`}>
            <TextField form={form} name="newCode" label="Code of the new tag" required size={16} />
            <NoteField form={form} name="replaceReason" label="Why" required />
            <button>Replace it</button>
          </form>
        </section>
      )}
      <section>
        <h2>Reprint</h2>
        <form method="post" action={`${action}/reprint`}>
          <NoteField
            form={form}
            name="reprintReason"
            label="Why"
            hint="the copy is marked as a reprint; destroy the old one"
            required
          />
          <button>Print it again</button>
        </form>
      </section>
      <section>
        <h2>Spoiled</h2>
        <form method="post" action={`${action}/spoil`}>
          <NoteField form={form} name="spoilReason" label="Why" required />
          <button>It is spoiled and destroyed</button>
        </form>
      </section>
    </div>
  )
}
