// Printing tags for a lot's bundles, or labels for wood of it that leaves the nursery.
import type { Context, Hono } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { readForm, readForms } from '../../labels/own-forms.ts'
import { tagsOf } from '../../labels/read-tags.ts'
import { readLotDetail } from '../../lots/lot-detail.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, SelectField, TickField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { newCodes } from './roll.tsx'

const payloads = ['field tag', 'leaving label'] as const
type Thing = { kind: 'lot' | 'bundle'; id: string; label: string; code: string | null }

/** Adds the form that prints the tags of a lot. */
export function addLotPrintPages(pages: Hono<Env>): void {
  pages.get('/lot/:lotId', async (c) => {
    const { things } = await readThings(c)
    const untagged = things.filter((thing) => thing.kind === 'bundle' && thing.code === null)
    const start = { things: untagged.map((thing) => thing.id), payload: 'field tag' }
    return show(c, await lotPrintPage(c, freshForm(start)))
  })
  pages.post('/lot/:lotId', (c) =>
    submit(c, {
      page: (form) => lotPrintPage(c, form),
      save: (form) => saveLotPrint(c, form),
    }),
  )
}

async function readThings(c: Context<Env>) {
  const { db } = c.get('services')
  const lotId = pathId(c, 'lotId', 'lot')
  const lot = found((await readLotDetail(db, lotId))?.identity, 'lot')
  const bundles = await db
    .selectFrom('bundle_first')
    .select(['bundle_id', 'number', 'unit', 'count'])
    .where('lot_id', '=', lotId)
    .orderBy('number')
    .execute()
  const codes = await tagsOf(db, [lotId, ...bundles.map((bundle) => bundle.bundle_id)])
  const things: Thing[] = [
    ...bundles.map((bundle) => ({
      kind: 'bundle' as const,
      id: bundle.bundle_id,
      label: `bundle ${bundle.number}, ${bundle.count} ${bundle.unit}s`,
      code: codes.get(bundle.bundle_id) ?? null,
    })),
    { kind: 'lot', id: lotId, label: 'the lot as a whole', code: codes.get(lotId) ?? null },
  ]
  return { lotId, lot, things }
}

/** Codes that a bundle has already are printed again as they are; others get a new one. */
async function saveLotPrint(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const { things } = await readThings(c)
  const ticked = new Set(form.all('things'))
  const chosen = things.filter((thing) => ticked.has(thing.id))
  const payload = form.choice('payload', 'what to print', payloads)
  const formName = form.text('form', 'The label form')
  if (chosen.length === 0) form.problem('things', 'tick at least one bundle, or the lot')
  form.check()
  await readForm(db, formName)
  const printId = newId()
  const fresh = chosen.filter((thing) => thing.code === null)
  const again = chosen.flatMap((thing) => (thing.code === null ? [] : [thing.code]))
  const codes = newCodes(fresh.length)
  const drafts: Draft[] = fresh.map(({ kind, id }, nr) => ({
    kind: 'tag.bound',
    body: { code: codes[nr] ?? '', thing: { kind, id } },
  }))
  const print = { printId, payload, form: formName }
  if (codes.length > 0) {
    drafts.unshift({ kind: 'tag.printed', body: { ...print, codes, reprintReason: null } })
  }
  if (again.length > 0) {
    const reprintReason = payload === 'leaving label' ? 'label for leaving' : 'printed with others'
    drafts.push({ kind: 'tag.printed', body: { ...print, codes: again, reprintReason } })
  }
  await recordAtDesk(db, deskOf(c), drafts)
  return afterSaving(`/tags/prints/${printId}`, drafts.length)
}

async function lotPrintPage(c: Context<Env>, form: FormState) {
  const { lot, things } = await readThings(c)
  const forms = await readForms(c.get('services').db)
  return (
    <Page
      c={c}
      title={`Print tags of lot ${lot.reference}`}
      lead="Bundles without a tag get a code, which is bound to them at once."
    >
      <FormProblems form={form} />
      <form method="post" action={c.req.path}>
        <TickField
          form={form}
          name="things"
          label="What to tag"
          options={things.map((thing) => ({
            value: thing.id,
            label: thing.code === null ? thing.label : `${thing.label} (has ${thing.code})`,
          }))}
        />
        <SelectField
          form={form}
          name="payload"
          label="What to print"
          hint="field tags stay on the wood; leaving labels carry the address and the particulars"
          required
          options={payloads.map((value) => ({ value, label: value }))}
        />
        <SelectField
          form={form}
          name="form"
          label="Label form"
          required
          options={forms.map(({ name }) => ({ value: name, label: name }))}
        />
        <button class="main">Print</button>
      </form>
      <p class="care">
        Leaving labels are prepared for, not issued by, the authority. Official labels and plant
        passports may be issued only by those whom your plant-health authority has authorised.
      </p>
    </Page>
  )
}
