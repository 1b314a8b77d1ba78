// One bath: filling it, its page, and emptying it once no wood is in it.
import type { Context } from 'hono'
import { NAME_LIMIT } from '#wire/basics.ts'
import type { Database } from '../../../db/connect.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { judgeLots, reasonsInWords } from '../../lots/judge-lots.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { readBath, readStandingBaths } from '../../store/baths.ts'
import type { Bath } from '../../store/baths.ts'
import { bathProblems, emptyProblems, fillProblems } from '../../store/checks.ts'
import { readPositions } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { chosenId } from '../chosen-id.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NumberField, SelectField, show, submit } from '../form-page.tsx'
import { TextField, WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { readChoices, tankOptions } from '../store/choices.ts'
import { shownTime } from '../times.ts'
import { typedName, typedNameOrNull } from '../typed-text.ts'
import { BathActions, BathWood, bathWords, SoakCare } from './soak.tsx'

/** The bath that the address names. */
export async function bathOf(c: Context<Env>): Promise<Bath> {
  return found(await readBath(c.get('services').db, pathId(c, 'bathId', 'bath')), 'bath')
}

/** Shows the form that fills a bath. */
export async function showFill(c: Context<Env>) {
  return show(c, await fillPage(c, freshForm()))
}

/** Saves the filling, or shows the form again. */
export function saveFill(c: Context<Env>) {
  return submit(c, { save: (form) => fill(c, form), page: (form) => fillPage(c, form) })
}

async function fill(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const body = {
    bathId: newId(),
    placeId: chosenId(form, 'placeId', 'the tank'),
    water: typedName(form, 'water', 'Where the water came from', NAME_LIMIT),
    waterTempC: form.optionalNumber('waterTempC', 'Temperature', -5, 70),
    disinfectant: typedNameOrNull(form, 'disinfectant', 'Disinfectant'),
    litres: form.optionalWhole('litres', 'Litres', 1, 100_000),
  }
  form.addProblems(fillProblems(choices.places, choices.baths, body.placeId))
  const occurredAt = form.when('when', 'Filled', choices.zone, clock.now())
  form.check()
  const draft = { kind: 'bath.filled' as const, body, occurredAt }
  const ids = await recordChecked(db, deskOf(c), [draft], async (trx) =>
    fillProblems(choices.places, await readStandingBaths(trx), body.placeId),
  )
  return afterSaving(`/soak/${body.bathId}`, ids.length)
}

async function fillPage(c: Context<Env>, form: FormState) {
  const choices = await readChoices(c.get('services').db)
  const tanks = tankOptions(choices)
  return (
    <Page c={c} title="Fill a bath" lead="A tank is filled: a new bath begins.">
      {tanks.length === 0 ? (
        <p class="note">
          No tank is registered yet. <a href="/store/register?kind=tank">Register one first</a>.
        </p>
      ) : null}
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <SelectField form={form} name="placeId" label="Tank" required options={tanks} />
          <TextField
            form={form}
            name="water"
            label="Where the water came from"
            required
            hint="such as: the mains, the well"
          />
          <NumberField form={form} name="waterTempC" label="Water temperature, °C" />
          <NumberField form={form} name="litres" label="Litres" />
          <TextField
            form={form}
            name="disinfectant"
            label="Disinfectant"
            hint="product and dose; only what is allowed for this use where you are"
          />
          <WhenField form={form} name="when" label="Filled" />
        </div>
        <SoakCare />
        <p class="actions">
          <button class="main">Fill</button>
          <a class="button" href="/soak">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

/** Shows one bath and the wood in it. */
export async function showBath(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const bath = await bathOf(c)
  const { zone } = await readChoices(db)
  const { positions, verdicts, words } = await woodIn(c, bath, zone)
  return show(
    c,
    <Page c={c} title={`Bath in ${bath.tankName}`} lead={`${bathWords(bath)}.`}>
      <Saved c={c} />
      <dl class="facts">
        <dt>Filled</dt>
        <dd>{shownTime(bath.filledAt, zone)}</dd>
        <dt>Emptied</dt>
        <dd>{bath.emptiedAt === null ? 'not yet' : shownTime(bath.emptiedAt, zone)}</dd>
      </dl>
      <h2>Wood in it</h2>
      <BathWood {...{ bath, positions, verdicts, words, zone, now: clock.now() }} />
      <BathActions bath={bath} />
      <p>
        <a href={`/trace/forward/bath/${bath.bathId}`}>Every vine whose wood was in this water</a>
        {' · '}
        <a href={`/custody/holds/place?kind=bath&id=${bath.bathId}`}>Place a hold on it</a>
        {' · '}
        <a href="/soak">All baths</a>
      </p>
      <SoakCare />
    </Page>,
  )
}

/** What is recorded in the bath, judged, with what is to be said of its soaking. */
async function woodIn(c: Context<Env>, bath: Bath, zone: string) {
  const { db, clock } = c.get('services')
  const filter = { kinds: ['bath'] as const, accountIds: [bath.bathId] }
  const { positions } = await readPositions(db, zone, filter)
  const lotIds = positions.map(({ lotId }) => lotId)
  const verdicts = await judgeLots(db, lotIds, clock.now())
  const words = new Map<string, Awaited<ReturnType<typeof reasonsInWords>>>()
  for (const [lotId, judgement] of verdicts) {
    const reasons = judgement.reasons.filter(({ code }) => code.startsWith('soak.'))
    words.set(lotId, await reasonsInWords(db, { ...judgement, reasons }))
  }
  return { positions, verdicts, words }
}

/** Shows the form that empties the bath. */
export async function showEmpty(c: Context<Env>) {
  return show(c, await emptyPage(c, freshForm()))
}

/** Empties it, or says what is still in it. */
export function saveEmpty(c: Context<Env>) {
  return submit(c, { save: (form) => empty(c, form), page: (form) => emptyPage(c, form) })
}

async function inBath(db: Database, bath: Bath, zone: string): Promise<WoodPosition[]> {
  const filter = { kinds: ['bath'] as const, accountIds: [bath.bathId] }
  return (await readPositions(db, zone, filter)).positions
}

async function empty(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const bath = await bathOf(c)
  const at = form.when('when', 'Emptied', zone, clock.now())
  form.addProblems(bathProblems(bath, at, zone, { bath: 'bath', when: 'when' }))
  form.addProblems(emptyProblems(await inBath(db, bath, zone), bath))
  form.check()
  const body = { bathId: bath.bathId }
  const draft = { kind: 'bath.emptied' as const, body, occurredAt: at }
  const ids = await recordChecked(db, deskOf(c), [draft], async (trx) => [
    ...bathProblems(await readBath(trx, bath.bathId), at, zone, { bath: 'bath', when: 'when' }),
    ...emptyProblems(await inBath(trx, bath, zone), bath),
  ])
  return afterSaving('/soak', ids.length)
}

async function emptyPage(c: Context<Env>, form: FormState) {
  const bath = await bathOf(c)
  const { db } = c.get('services')
  const { zone } = await readChoices(db)
  const wood = await inBath(db, bath, zone)
  return (
    <Page
      c={c}
      title={`Empty the bath in ${bath.tankName}`}
      lead="The water is let out; what is soaked here later is in a new bath."
    >
      <form method="post">
        <FormProblems form={form} />
        <div id="field-bath">
          {form.errors.bath === undefined ? null : (
            <p class="error" id="error-bath">
              {form.errors.bath}
            </p>
          )}
          {wood.length === 0 ? (
            <p>No wood is recorded in it.</p>
          ) : (
            <p class="care">
              {emptyProblems(wood, bath)[0]?.message}.{' '}
              <a href={`/soak/${bath.bathId}/take-out`}>Take wood out</a>
            </p>
          )}
        </div>
        <WhenField form={form} name="when" label="Emptied" />
        <p class="care">
          Let used water out only where your local rules allow it, above all with a disinfectant in
          it. Clean the tank before it is filled again.
        </p>
        <p class="actions">
          <button class="main">Empty the bath</button>
          <a class="button" href="/soak">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
