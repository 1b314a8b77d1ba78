// The page of a grafting sheet: the verdict on its lot, and the fields.
import { graftingMethods } from '#trade/grafting-methods.ts'
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { formatTagCode } from '#trade/tag-code.ts'
import { judgeForPlans, plansFor } from '../../grafting/lot-verdict.ts'
import { listKnives } from '../../grafting/knives.ts'
import type { Knife } from '../../grafting/knives.ts'
import { reasonsInWords } from '../../lots/judge-lots.ts'
import type { ReasonInWords } from '../../lots/judge-lots.ts'
import { readLotFacts } from '../../lots/lot-facts.ts'
import { listPeople, readPolicies } from '../../nursery/read.ts'
import type { PersonLine } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField } from '../form-page.tsx'
import { TextField, TickField, WhenField } from '../form-page.tsx'
import { Page, VerdictMark } from '../layout.tsx'
import type { SheetContext } from './graft-form.tsx'
import { skipReasons, ties } from './methods.ts'
import { NameList } from './plan-fields.tsx'
import { rowTitle } from './row-page.tsx'
import { thisYear } from './rows-form.tsx'

/** What the page shows and offers beside the row and the lot. */
export type GraftChoices = {
  judgement: Judgement
  reasons: ReasonInWords[]
  people: PersonLine[]
  knives: Knife[]
}

/** Reads the verdict as of now for the whole row's plans that the lot fits, people, knives. */
export async function readGraftChoices(
  c: Context<Env>,
  { lot, reading }: SheetContext,
): Promise<GraftChoices> {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const { row, plans } = reading.facts
  const all = Array.from({ length: row.position_count }, (_, nr) => nr + 1)
  const wanted = plansFor(plans, await thisYear(c), all)
  const fitting = wanted.filter((plan) => plan?.variety_id === lot.variety_id)
  const [facts, { policies }, people, knives] = await Promise.all([
    readLotFacts(db, [lot.lot_id], now),
    readPolicies(db, now),
    listPeople(db),
    listKnives(db),
  ])
  const known = facts.get(lot.lot_id) ?? { known: false, code: null, tag: null, snapshotAt: null }
  const judgement = judgeForPlans(known, fitting.length > 0 ? fitting : wanted, policies, now)
  return { judgement, reasons: await reasonsInWords(db, judgement), people, knives }
}

/** The page. */
export function GraftPage(props: {
  c: Context<Env>
  sheet: SheetContext
  form: FormState
  choices: GraftChoices
}) {
  const { c, sheet, form, choices } = props
  const { row } = sheet.reading.facts
  return (
    <Page
      c={c}
      title={`${sheet.lot.reference} on ${rowTitle(row)}`}
      lead="One sheet: the vines of this row that got buds of this lot, and those passed over."
    >
      <LotVerdict sheet={sheet} choices={choices} form={form} />
      <form method="post">
        <FormProblems form={form} />
        <WoodFields sheet={sheet} form={form} />
        <VineFields sheet={sheet} form={form} />
        <DoneFields form={form} choices={choices} />
        <p class="actions">
          <button class="main">Record the sheet</button>
          <a class="button" href={`/blocks/rows/${row.row_id}/graft`}>
            Another lot
          </a>
          <a class="button" href={`/blocks/rows/${row.row_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

function LotVerdict(props: { sheet: SheetContext; choices: GraftChoices; form: FormState }) {
  const { lot } = props.sheet
  const { judgement, reasons } = props.choices
  const clone = lot.clone === null ? '' : `, clone ${lot.clone}`
  const grade = [lot.scheme, lot.class].filter(Boolean).join(' ')
  return (
    <div class="note" id="field-lot" tabindex={-1}>
      <p>
        Lot <a href={`/lots/${lot.lot_id}`}>{lot.reference}</a>: {lot.variety ?? 'unknown variety'}
        {clone}
        {grade === '' ? '' : `, ${grade}`}, {lot.buds_per_stick} buds on a stick.{' '}
        <VerdictMark verdict={judgement.verdict} />
      </p>
      {reasons.length === 0 ? null : (
        <ul>
          {reasons.map(({ verdict, sentence, todo }) => (
            <li>
              <strong>{verdict}</strong>: {sentence} {todo}
            </li>
          ))}
        </ul>
      )}
      {props.form.errors.lot === undefined ? null : (
        <p class="error" id="error-lot">
          {props.form.errors.lot}
        </p>
      )}
    </div>
  )
}

type Part = { sheet: SheetContext; form: FormState }

function WoodFields({ sheet, form }: Part) {
  const bath =
    sheet.inBath.length === 0 ? '' : `; wood in the ${sheet.inBath[0]} is taken out first`
  return (
    <SelectField
      form={form}
      name="wood"
      label="The buds came from"
      hint={`who or what held the wood, and which bundle${bath}`}
      options={sheet.options.map(({ key, label }) => ({ value: key, label }))}
      required
    />
  )
}

function VineFields({ sheet, form }: Part) {
  const { row } = sheet.reading.facts
  return (
    <>
      <div class="columns">
        <NumberField
          form={form}
          name="fromPosition"
          label="First vine"
          hint="where the crew began"
          required
        />
        <NumberField
          form={form}
          name="toPosition"
          label="Last vine"
          hint={`the row has ${row.position_count} positions`}
          required
        />
        <SelectField
          form={form}
          name="countedFrom"
          label="Positions counted from"
          options={[
            { value: 'head', label: `the head${row.head_at === null ? '' : ` (${row.head_at})`}` },
            { value: 'far', label: 'the far end' },
          ]}
          required
        />
        <NumberField form={form} name="budsPerVine" label="Buds on each vine" required />
      </div>
      <NoteField
        form={form}
        name="skipped"
        label="Vines passed over"
        hint={`positions and why, like 4 ${skipReasons[0]}; 17, 20 to 22 ${skipReasons[1]}`}
      />
      <TickField
        form={form}
        name="further"
        label="Grafted before"
        options={[
          { value: 'yes', label: 'these are further buds on vines grafted this season already' },
        ]}
      />
    </>
  )
}

function DoneFields({ form, choices }: { form: FormState; choices: GraftChoices }) {
  return (
    <>
      <div class="columns">
        <TextField form={form} name="method" label="Method" list="methods" size={20} required />
        <SelectField
          form={form}
          name="personId"
          label="Done by"
          options={personOptions(choices.people)}
          required
        />
        <WhenField form={form} name="when" label="When" />
        <TextField form={form} name="tie" label="Tie" list="ties" size={20} />
        <SelectField
          form={form}
          name="knifeId"
          label="Knife"
          options={choices.knives.map(({ knife_id, code }) => ({
            value: knife_id,
            label: `tag ${formatTagCode(code)}`,
          }))}
        />
      </div>
      <NoteField form={form} name="note" label="Note" />
      <NameList id="methods" names={graftingMethods} />
      <NameList id="ties" names={ties} />
    </>
  )
}

/** People to choose from; those who have left come last and are marked. */
export function personOptions(people: readonly PersonLine[]) {
  return people.map(({ person_id, name, ended_at }) => ({
    value: person_id,
    label: ended_at === null ? name : `${name} (left)`,
  }))
}
