// Technical purity of a lot, reckoned from a count of defective pieces; nothing is recorded.
import type { Context } from 'hono'
import { counted } from '../../custody/finding-word-shape.ts'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import { Refusal } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { COUNT_LIMIT } from '#wire/basics.ts'
import { DEFECTS, DEFECTIVE_LIMIT_PERCENT } from '#trade/technical-purity.ts'
import { TECHNICAL_PURITY_SOURCE, technicalPurity } from '#trade/technical-purity.ts'
import type { TechnicalPurity } from '#trade/technical-purity.ts'
import { FormProblems, NumberField, show } from '../form-page.tsx'
import { FormReader } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { lotOf } from './lot-of.ts'

/** The form, and under it what the counts in the address come to. */
export async function showPurity(c: Context<Env>) {
  const lot = await lotOf(c)
  const form = new FormReader(c.req.queries())
  const isAsked = form.raw('pieces') !== ''
  const state: FormState = { values: form.values, errors: {}, general: null }
  const result = isAsked ? reckon(form, state) : null
  return show(c, <PurityPage c={c} lot={lot} form={state} result={result} />, statusOf(state))
}

const statusOf = (state: FormState) => (state.general === null ? 200 : 422)

/** Reckons, or leaves in `state` what must be mended. */
function reckon(form: FormReader, state: FormState): TechnicalPurity | null {
  const pieces = form.whole('pieces', 'Pieces looked at', 1, COUNT_LIMIT)
  const counts = Object.fromEntries(
    DEFECTS.map((defect) => {
      const count = form.optionalWhole(defect, wordsOf(defect), 0, COUNT_LIMIT) ?? 0
      return [defect, count]
    }),
  )
  const defective = Object.values(counts).reduce((sum, count) => sum + count, 0)
  if (defective > pieces) {
    form.problem('pieces', `${defective} defects are more: count a piece with two of them once`)
  }
  try {
    form.check()
    return technicalPurity(pieces, counts)
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    for (const { field, message } of error.fields) state.errors[field] ??= message
    state.general = error.message
    return null
  }
}

function PurityPage(props: {
  c: Context<Env>
  lot: LotIdentity
  form: FormState
  result: TechnicalPurity | null
}) {
  const { c, lot, form, result } = props
  return (
    <Page
      c={c}
      title={`Technical purity of lot ${lot.reference}`}
      lead="Look at pieces taken at random and count the defective ones. Nothing is recorded here."
    >
      <FormProblems form={form} />
      {result === null ? null : <Result result={result} />}
      <form action={`/lots/${lot.lot_id}/purity`}>
        <NumberField form={form} name="pieces" label="Pieces looked at" required />
        <div class="columns">
          {DEFECTS.map((defect) => (
            <NumberField form={form} name={defect} label={wordsOf(defect)} />
          ))}
        </div>
        <button class="main">Reckon</button>
      </form>
      <p class="hint">Limit: {TECHNICAL_PURITY_SOURCE}. Your own authority’s rule comes first.</p>
    </Page>
  )
}

function Result({ result }: { result: TechnicalPurity }) {
  const share = `${Number(result.defectivePercent.toFixed(2))} %`
  const most = counted(result.defectiveLimitCount, 'piece')
  return (
    <p class={result.withinLimit ? 'note' : 'care'} role="status">
      <strong>{result.withinLimit ? 'Within the limit' : 'Over the limit'}:</strong>{' '}
      {result.defectiveCount} of {result.pieceCount} defective, {share}. At most{' '}
      {DEFECTIVE_LIMIT_PERCENT} % are allowed, here {most}.
    </p>
  )
}

function wordsOf(defect: string): string {
  const words = defect.replaceAll('_', ' ')
  return `${words[0]?.toUpperCase() ?? ''}${words.slice(1)}`
}
