// The form by which wood of several lots becomes one lot, its shares of origin shown beforehand.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { fractionText, fractionToNumber } from '#trade/fractions.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../../db/connect.ts'
import { useProblems } from '../../custody/use-checks.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { readNames } from '../../journal/names.ts'
import { judgeLots } from '../../lots/judge-lots.ts'
import { readLotIdentity } from '../../lots/lot-detail.ts'
import { mixtureShares } from '../../lots/mixture.ts'
import type { Mixture } from '../../lots/mixture.ts'
import { combinedParts, combineLots, unlikeProblems } from '../../lots/parts.ts'
import { referenceProblems, suggestReferences } from '../../lots/references.ts'
import type { Env } from '../../platform/services.ts'
import { timeProblems } from '../../store/checks.ts'
import type { ChosenWood } from '../../store/choose-wood.ts'
import { readPositions } from '../../store/positions.ts'
import { goneProblems } from '../../store/still-there.ts'
import { deskOf } from '../desk.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField } from '../form-page.tsx'
import { show, submit, TextField, WhenField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { accountOptions, readAccount, readChoices } from '../store/choices.ts'
import type { Choices } from '../store/choices.ts'
import { FindWood } from '../store/wood-action.tsx'
import { readChosenWood } from '../store/read-chosen.ts'
import { WoodFields } from '../store/wood-fields.tsx'
import { typedName, typedReason } from '../typed-text.ts'
import { BundleFields, PackageCounts, readBundleWish } from './new-lot-fields.tsx'

const REFERENCE_LIMIT = 40
/** Wood in water is taken out first: the new lot would not inherit the hours in it. */
const dryKinds = ['place', 'holder', 'unknown'] as const

/** Shows the form. */
export async function showCombine(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const year = Number(localDay(clock.now().getTime(), zone).slice(0, 4))
  const [reference = ''] = await suggestReferences(db, year, 1)
  return show(c, await combinePage(c, freshForm({ reference }), null))
}

/** Shows the shares, or saves the lot once the shares of just this wood have been shown. */
export async function postCombine(c: Context<Env>) {
  const form = await readForm(c)
  if (form.raw('step') !== 'save') return preview(c, form)
  return submit(c, {
    save: (posted) => save(c, posted),
    page: async (state) => combinePage(c, state, (await chooseAndMix(c, form)).mixture),
  })
}

/** Shows the shares; only what is wrong with the choice of wood is said. */
async function preview(c: Context<Env>, form: FormReader) {
  const { chosen, problems, mixture } = await chooseAndMix(c, form)
  const parents = await withIdentity(c.get('services').db, chosen)
  problems.push(...unlikeProblems(parents.map(({ identity }) => identity)))
  const first = problems[0]
  const errors = Object.fromEntries(problems.map(({ field, message }) => [field, message]))
  const state = { values: form.values, errors, general: first?.message ?? null }
  const page = await combinePage(c, state, first === undefined ? mixture : null)
  return show(c, page, first === undefined ? 200 : 422)
}

/** The wood chosen and the shares that it would give. */
async function chooseAndMix(c: Context<Env>, form: FormReader) {
  const { db } = c.get('services')
  const choices = await readChoices(db)
  const { chosen, problems } = await readChosenWood(db, form, choices.zone, { kinds: dryKinds })
  if (problems.length > 0) return { choices, chosen, problems, mixture: null }
  const parts = combinedParts(chosen).map(({ lotId, budEquivalents }) => ({
    lotId,
    weight: budEquivalents,
  }))
  const mixture = await mixtureShares(db, parts)
  if (mixture.problem !== null) problems.push({ field: 'wood', message: mixture.problem })
  return { choices, chosen, problems, mixture }
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { choices, chosen, problems, mixture } = await chooseAndMix(c, form)
  const at = form.when('when', 'When', choices.zone, clock.now())
  const wish = {
    parents: await withIdentity(db, chosen),
    reference: typedName(form, 'reference', 'Lot reference', REFERENCE_LIMIT),
    budsPerStick: form.whole('budsPerStick', 'Usable buds on a stick', 0, 30),
    bundles: readBundleWish(form, 'bundleCount', 'piecesEach'),
    to: readAccount(form, 'to', 'where the new lot lies', choices),
    reason: typedReason(form, 'reason', 'Reason'),
    at,
  }
  const made = await combineLots(db, wish)
  form.addProblems([...problems, ...made.problems, ...timeProblems(chosen, at, choices.zone)])
  const lots = chosen.map(({ position }) => position)
  form.addProblems(await useProblems(db, lots, clock.now(), choices.zone))
  if (mixture !== null && form.raw('seen') !== seenKey(mixture)) {
    form.problem('shares', 'other wood than before: look at the shares below, then press Combine')
  }
  form.check()
  const ids = await recordChecked(db, deskOf(c), made.drafts, async (trx) => [
    ...(await referenceProblems(trx, [{ field: 'reference', reference: wish.reference }])),
    ...(await goneProblems(trx, chosen, choices.zone)),
  ])
  return afterSaving(`/lots/${made.lotIds[0] ?? ''}`, ids.length)
}

async function withIdentity(db: Database, chosen: ChosenWood[]) {
  const parents = await Promise.all(
    chosen.map(async (choice) => {
      const identity = await readLotIdentity(db, choice.position.lotId)
      return identity === null ? [] : [{ identity, chosen: choice }]
    }),
  )
  return parents.flat()
}

/** Stands for the shares shown, so that others than these cannot be saved unseen. */
function seenKey(mixture: Mixture | null): string {
  if (mixture === null) return 'none'
  return mixture.origins
    .map(({ firstLotId, share }) => `${firstLotId}=${fractionText(share)}`)
    .join(' ')
}

async function combinePage(
  c: Context<Env>,
  form: FormState,
  mixture: Mixture | null,
): Promise<Child> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const text = (form.values.find?.[0] ?? c.req.query('find') ?? '').slice(0, 100)
  const listed = await readPositions(db, choices.zone, { kinds: dryKinds, text })
  const lotIds = listed.positions.map(({ lotId }) => lotId)
  const verdicts = await judgeLots(db, lotIds, clock.now())
  return (
    <Page
      c={c}
      title="Combine lots"
      lead="Wood of one variety, clone and class from several lots becomes one lot. Its origin is
        then a set of shares, and a recall of one part reaches all of it."
    >
      <FindWood text={text} />
      {listed.positions.length < 2 ? (
        <p class="note">
          There is too little wood to combine here. <a href="/lots">Go back</a>
        </p>
      ) : (
        <form method="post">
          <FormProblems form={form} />
          {text === '' ? null : <input type="hidden" name="find" value={text} />}
          <WoodFields
            form={form}
            legend="Wood that becomes one lot"
            {...listed}
            verdicts={verdicts}
            oneLot={false}
          />
          <CombineFields form={form} choices={choices} />
          <Shares mixture={mixture} names={await namesOf(db, mixture)} error={form.errors.shares} />
          <p class="actions">
            <button name="step" value="shares" formnovalidate>
              Show the shares
            </button>
            {mixture === null ? null : (
              <button class="main" name="step" value="save">
                Combine
              </button>
            )}
            <a class="button" href="/lots">
              Cancel
            </a>
          </p>
        </form>
      )}
    </Page>
  )
}

function CombineFields({ form, choices }: { form: FormState; choices: Choices }) {
  return (
    <>
      <div class="columns">
        <TextField form={form} name="reference" label="Lot reference" required size={16} />
        <NumberField
          form={form}
          name="budsPerStick"
          label="Usable buds on a stick"
          required
          hint="of the mixture, counted on a sample"
        />
        <BundleFields form={form} />
        <SelectField
          form={form}
          name="to"
          label="Where the new lot lies"
          required
          options={accountOptions(choices)}
        />
        <WhenField form={form} name="when" label="When" />
        <NoteField form={form} name="reason" label="Reason" required />
      </div>
      <PackageCounts />
    </>
  )
}

async function namesOf(db: Database, mixture: Mixture | null): Promise<Map<string, string>> {
  const origins = mixture?.origins ?? []
  return readNames(
    db,
    origins.flatMap(({ firstLotId, sourceId }) => [firstLotId, ...(sourceId ? [sourceId] : [])]),
  )
}

function Shares(props: {
  mixture: Mixture | null
  names: Map<string, string>
  error: string | undefined
}) {
  const { mixture, names } = props
  return (
    <section id="field-shares" aria-label="Shares of origin">
      <h2>Shares of origin</h2>
      <input type="hidden" name="seen" value={mixture === null ? '' : seenKey(mixture)} />
      {mixture === null ? (
        <p class="hint">
          Tick the wood and press “Show the shares”: they come before anything is saved.
        </p>
      ) : (
        <Table
          caption="What the new lot would be made of"
          head={['Lot', 'Source', 'Share', '%']}
          numbers={[2, 3]}
        >
          {mixture.origins.map(({ firstLotId, sourceId, share }) => (
            <tr>
              <td>{names.get(firstLotId) ?? 'a lot not registered here'}</td>
              <td>{sourceId === null ? 'unknown' : (names.get(sourceId) ?? 'unknown')}</td>
              <td class="number">{fractionText(share)}</td>
              <td class="number">{(fractionToNumber(share) * 100).toFixed(1)}</td>
            </tr>
          ))}
        </Table>
      )}
      {props.error === undefined ? null : <p class="error">{props.error}</p>}
    </section>
  )
}
