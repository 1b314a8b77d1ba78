// The form for buds or cambium that were looked at: how many of how many lived.
import type { Context } from 'hono'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readPositions } from '../../store/positions.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField, show, submit } from '../form-page.tsx'
import { WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedNote } from '../typed-text.ts'
import { readSample, SampleFields, sampleProblems } from './check-fields.tsx'
import { lotOf } from './lot-of.ts'
import { beforeCutProblem } from './check-time.ts'

const SAMPLE_LIMIT = 10_000
const methods = ['cut bud', 'forcing test', 'cambium scratch'] as const

/** Shows the form for the lot in the address. */
export async function showViability(c: Context<Env>) {
  return show(c, await page(c, await lotOf(c), freshForm()))
}

/** Saves the check, or shows the form again. */
export async function saveViability(c: Context<Env>) {
  const lot = await lotOf(c)
  return submit(c, { save: (form) => save(c, lot, form), page: (form) => page(c, lot, form) })
}

async function save(c: Context<Env>, lot: LotIdentity, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const { positions } = await readPositions(db, zone, { lotIds: [lot.lot_id] })
  const method = form.choice('method', 'how it was looked at', methods)
  const sampledCount = form.whole('sampledCount', 'Looked at', 1, SAMPLE_LIMIT)
  const liveCount = form.whole('liveCount', 'Alive', 0, SAMPLE_LIMIT)
  if (liveCount > sampledCount) {
    const message = `${liveCount} alive cannot come from ${sampledCount} looked at: count again`
    form.problem('liveCount', message)
  }
  const forcedDays = form.optionalWhole('forcedDays', 'Days forced', 0, 120)
  if (forcedDays !== null && method !== 'forcing test') {
    form.problem('forcedDays', 'days are given for a forcing test only: leave it empty')
  }
  const sample = readSample(form, positions)
  const occurredAt = form.when('when', 'Looked at', zone, clock.now())
  form.addProblems(beforeCutProblem(lot, occurredAt, zone))
  const note = typedNote(form, 'note', 'Note')
  form.check()
  const body = { lotId: lot.lot_id, ...sample, method, sampledCount, liveCount, forcedDays, note }
  const draft = { kind: 'check.viability' as const, body, occurredAt }
  const ids = await recordChecked(db, deskOf(c), [draft], async (trx) => {
    const again = await readPositions(trx, zone, { lotIds: [lot.lot_id] })
    return [...sampleProblems(form, again.positions)]
  })
  return afterSaving(`/lots/${lot.lot_id}`, ids.length)
}

async function page(c: Context<Env>, lot: LotIdentity, form: FormState) {
  const { db } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const { positions } = await readPositions(db, zone, { lotIds: [lot.lot_id] })
  return (
    <Page
      c={c}
      title={`Check buds of lot ${lot.reference}`}
      lead="Take sticks at random from all bundles, not the best and not the tips."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <SelectField
            form={form}
            name="method"
            label="How"
            required
            options={methods.map((method) => ({ value: method, label: methodWords[method] }))}
          />
          <NumberField
            form={form}
            name="sampledCount"
            label="Looked at"
            required
            hint="buds, or sticks for a scratch; about 100 buds a lot is usual"
          />
          <NumberField form={form} name="liveCount" label="Alive" required />
          <NumberField
            form={form}
            name="forcedDays"
            label="Days forced"
            hint="forcing test only; 30 days showed the differences (Dokoozlian 1999)"
          />
          <SampleFields form={form} positions={positions} />
          <WhenField form={form} name="when" label="Looked at" />
          <NoteField form={form} name="note" label="Note" />
        </div>
        <HowToLook />
        <p class="actions">
          <button class="main">Save the check</button>
          <a class="button" href={`/lots/${lot.lot_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

const methodWords: Record<(typeof methods)[number], string> = {
  'cut bud': 'cut bud: the bud is cut across',
  'forcing test': 'forcing test: single nodes kept warm until they push',
  'cambium scratch': 'cambium scratch: bark of sticks scratched',
}

function HowToLook() {
  return (
    <>
      <p class="note">
        Keep the sticks at room temperature for a day first, so that dead tissue turns brown
        (University of Maryland Extension). A bright green centre is alive, brown or black is dead
        (Missouri State University); do not take the olive cambium of the cane for the bud. A green
        scratch shows that the stick lives and says nothing of its buds (common practice, no
        source).
      </p>
      <p class="care">
        Cut away from your hand, on something firm, with a sharp blade; disinfect it before the next
        lot.
      </p>
    </>
  )
}
