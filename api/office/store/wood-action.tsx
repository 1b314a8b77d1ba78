// The one form by which wood is moved, handed over, returned, soaked, taken out or thrown away.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import type { Judgement } from '#trade/judge.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { judgeLots } from '../../lots/judge-lots.ts'
import { useProblems } from '../../custody/use-checks.ts'
import type { Env } from '../../platform/services.ts'
import { timeProblems } from '../../store/checks.ts'
import type { ChosenWood } from '../../store/choose-wood.ts'
import { readPositions } from '../../store/positions.ts'
import type { HoldingKind, PositionFilter, WoodPosition } from '../../store/positions.ts'
import { goneProblems } from '../../store/still-there.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit, WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { readChoices } from './choices.ts'
import type { Choices } from './choices.ts'
import { readChosenWood } from './read-chosen.ts'
import { WoodFields } from './wood-fields.tsx'

/** What is done with wood: which wood it can be done with, what is asked, what is recorded. */
export type WoodAction = {
  title: string
  lead: Child
  legend: string
  button: string
  /** Accounts whose wood is listed. */
  kinds: readonly HoldingKind[]
  /** Is wood with the verdict stop refused? */
  judged: (form: FormReader) => boolean
  /** What to say when there is no such wood. */
  none: string
  fields: (form: FormState, choices: Choices) => Child
  /** Reads the fields, notes problems in `form`, and says what to record. */
  read: (form: FormReader, choices: Choices, chosen: ChosenWood[], at: Date) => Draft[]
}

/** Where the form stands: for one lot, for some accounts, or for all wood; and where it leads. */
export type WoodScope = {
  lotId?: string
  lotReference?: string
  accountIds?: readonly string[]
  /** The page to go to after saving. */
  back: string
  start?: Record<string, string>
  /** Said after the title, like `into the bath in Tank 1`. */
  about?: string
}

/** Shows the form. */
export async function showWoodAction(c: Context<Env>, action: WoodAction, scope: WoodScope) {
  return show(c, await woodPage(c, action, scope, freshForm(scope.start)))
}

/** Saves the form, or shows it again with what must be mended. */
export function saveWoodAction(c: Context<Env>, action: WoodAction, scope: WoodScope) {
  return submit(c, {
    save: (form) => save(c, action, scope, form),
    page: (form) => woodPage(c, action, scope, form),
  })
}

async function save(
  c: Context<Env>,
  action: WoodAction,
  scope: WoodScope,
  form: FormReader,
): Promise<string> {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const choices = await readChoices(db)
  const read = await readChosenWood(db, form, choices.zone, filterOf(action, scope))
  const { chosen, problems } = read
  const at = form.when('when', 'When', choices.zone, now)
  const drafts = action.read(form, choices, chosen, at)
  form.addProblems([...problems, ...timeProblems(chosen, at, choices.zone)])
  if (action.judged(form)) {
    const lots = chosen.map(({ position }) => position)
    form.addProblems(await useProblems(db, lots, now, choices.zone))
  }
  form.check()
  const ids = await recordChecked(db, deskOf(c), drafts, (trx) =>
    goneProblems(trx, chosen, choices.zone),
  )
  return afterSaving(scope.back, ids.length)
}

async function woodPage(
  c: Context<Env>,
  action: WoodAction,
  scope: WoodScope,
  form: FormState,
): Promise<Child> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const text = (form.values.find?.[0] ?? c.req.query('find') ?? '').slice(0, 100)
  const filter = { ...filterOf(action, scope), text }
  const { positions, more } = await readPositions(db, choices.zone, filter)
  const verdicts = await judgeLots(
    db,
    positions.map(({ lotId }) => lotId),
    clock.now(),
  )
  const of = scope.lotReference === undefined ? '' : ` of ${scope.lotReference}`
  const about = scope.about === undefined ? '' : ` ${scope.about}`
  return (
    <Page c={c} title={`${action.title}${of}${about}`} lead={action.lead}>
      {scope.lotId === undefined ? <FindWood text={text} /> : null}
      {positions.length === 0 ? (
        <p class="note">
          {text === '' ? action.none : `No such wood of a lot or variety like “${text}”.`}{' '}
          <a href={scope.back}>Go back</a>
        </p>
      ) : (
        <WoodForm {...{ action, scope, form, choices, positions, more, verdicts, text }} />
      )}
    </Page>
  )
}

function WoodForm(props: {
  action: WoodAction
  scope: WoodScope
  form: FormState
  choices: Choices
  positions: WoodPosition[]
  more: boolean
  verdicts: Map<string, Judgement>
  text: string
}) {
  const { action, scope, form, choices } = props
  return (
    <form method="post">
      <FormProblems form={form} />
      {props.text === '' ? null : <input type="hidden" name="find" value={props.text} />}
      <WoodFields {...props} legend={action.legend} oneLot={scope.lotId !== undefined} />
      <div class="columns">
        {action.fields(form, choices)}
        <WhenField form={form} name="when" label="When" />
      </div>
      <p class="actions">
        <button class="main">{action.button}</button>
        <a class="button" href={scope.back}>
          Cancel
        </a>
      </p>
    </form>
  )
}

/** Narrows the list of wood to a lot or variety. */
export function FindWood({ text }: { text: string }) {
  return (
    <form class="actions" method="get">
      <label for="wood-find">Lot or variety</label>
      <input id="wood-find" name="find" type="search" value={text} />
      <button>Show</button>
    </form>
  )
}

function filterOf(action: WoodAction, scope: WoodScope): PositionFilter {
  return {
    kinds: action.kinds,
    ...(scope.lotId === undefined ? {} : { lotIds: [scope.lotId] }),
    ...(scope.accountIds === undefined ? {} : { accountIds: scope.accountIds }),
  }
}
