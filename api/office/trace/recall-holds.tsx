// Places holds on what a recall reaches, all in one go, each once.
import type { Context } from 'hono'
import { counted } from '../../custody/finding-word-shape.ts'
import { newHoldProblems } from '../../custody/holds.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import type { Cover } from '../../trace/recall-cover.ts'
import type { Recall } from '../../trace/recall.ts'
import { deskOf } from '../desk.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, submit } from '../form-page.tsx'
import { afterSaving } from '../saved.tsx'
import { typedReason } from '../typed-text.ts'
import { askedRecall } from './recall-asked.ts'
import { recallPage } from './recall-page.tsx'

type Held = { kind: 'lot' | 'source'; id: string }

/** Sources, and lots with wood left, that have no hold of their own for the agent. */
function toHold(recall: Recall): Held[] {
  return [
    ...recall.sources.flatMap(({ source_id, hold_id }): Held[] =>
      hold_id === null ? [{ kind: 'source', id: source_id }] : [],
    ),
    ...recall.lots.flatMap(({ lot_id, hold_id, buds_left }): Held[] =>
      hold_id === null && buds_left > 0 ? [{ kind: 'lot', id: lot_id }] : [],
    ),
  ]
}

/** The form that places them, or a word that nothing is left to hold. */
export function HoldForm(props: {
  recall: Recall
  covers: ReadonlyMap<string, Cover>
  query: string
  form: FormState
}) {
  const left = toHold(props.recall)
  const open = left.filter(({ id }) => !props.covers.has(id)).length
  if (left.length === 0) {
    return <p class="note">A hold stands on every source, and on every lot with wood left.</p>
  }
  return (
    <form method="post" action={`/trace/recall/holds?${props.query}`}>
      <h2>{open > 0 ? 'Stop the use of it' : 'All of it is stopped'}</h2>
      <FormProblems form={props.form} />
      <p>{leftWords(open, left.length - open)}</p>
      <NoteField form={props.form} name="reason" label="Reason" required />
      <p class="actions">
        <button class={open > 0 ? 'main' : undefined}>Place {counted(left.length, 'hold')}</button>
      </p>
    </form>
  )
}

/** What nothing stops yet, and what is stopped by a hold elsewhere. */
function leftWords(open: number, covered: number): string {
  const words: string[] = []
  if (open > 0) {
    words.push(
      `Nothing stops the use of ${counted(open, 'source or lot', 'sources and lots')} yet.`,
      'A hold stops what is made of them, or touched them by a route of this agent, as well.',
    )
  }
  if (covered > 0) {
    words.push(
      `${counted(covered, 'lot')} with wood left ${covered === 1 ? 'is' : 'are'} stopped by a ` +
        'hold on what they came of or met. A hold of their own stays when that one is lifted.',
    )
  }
  return words.join(' ')
}

/** Places the holds, or shows the recall again with what is wrong. */
export function saveRecallHolds(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => recallPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const reason = typedReason(form, 'reason', 'Reason')
  form.check()
  const { recall, query } = await askedRecall(c)
  const occurredAt = clock.now()
  const drafts = toHold(recall).map((on) => ({
    kind: 'hold.placed' as const,
    body: { holdId: newId(), on, agent: recall.question.agent, reason },
    occurredAt,
  }))
  const back = `/trace/recall/of?${query}`
  if (drafts.length === 0) return back
  const ids = await recordChecked(db, deskOf(c), drafts, async (trx) => {
    for (const { body } of drafts) {
      const problems = await newHoldProblems(trx, body, 'reason')
      if (problems.length > 0) return problems
    }
    return []
  })
  return afterSaving(back, ids.length)
}
