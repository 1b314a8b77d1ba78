// The rules of each scheme with their texts, and the form by which a nursery sets its own.
import type { Context } from 'hono'
import { findScheme, isUnknown, SCHEMES } from '#trade/schemes/schemes.ts'
import type { OwnRule } from '#trade/schemes/schemes.ts'
import type { Scheme } from '#trade/schemes/scheme-shape.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Env } from '../../platform/services.ts'
import { readOwnRules } from '../../sources/rule-facts.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField } from '../form-page.tsx'
import { show, submit, TextField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName, typedNameOrNull, typedReason } from '../typed-text.ts'

const topics = ['retest', 'isolation', 'inspection'] as const
const topicWords = {
  retest: 'months between tests',
  isolation: 'metres to other vines',
  inspection: 'inspections a year',
} as const

/** Shows the rules. */
export async function showSchemes(c: Context<Env>) {
  return show(c, await page(c, freshForm()))
}

/** Saves a rule of the nursery's own, or takes one away. */
export function saveSchemeRule(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => page(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const body = {
    scheme: typedName(form, 'scheme', 'the scheme'),
    topic: form.choice('topic', 'what is asked', topics),
    className: typedNameOrNull(form, 'className', 'the class'),
    amount: form.optionalNumber('amount', 'the figure', 0, 100_000),
    citation: typedReason(form, 'citation', 'where it is written'),
  }
  if (body.amount !== null && body.topic !== 'isolation' && !isWholeAndSome(body.amount)) {
    form.problem('amount', `give whole ${topicWords[body.topic]}, 1 or more`)
  }
  const own = await readOwnRules(db)
  if (body.amount === null && !own.some((rule) => isSameRule(rule, body))) {
    form.problem('amount', 'give the figure: no such rule stands that could be taken away')
  }
  form.check()
  await recordAtDesk(db, deskOf(c), [{ kind: 'scheme.rule_set', body }])
  return afterSaving('/sources/schemes', 1)
}

const isWholeAndSome = (amount: number) => Number.isInteger(amount) && amount >= 1

function isSameRule(one: OwnRule, other: Omit<OwnRule, 'id' | 'amount'>): boolean {
  const key = (rule: typeof other) =>
    [rule.scheme, rule.topic, rule.className ?? ''].join('\n').toLowerCase()
  return key(one) === key(other)
}

async function page(c: Context<Env>, form: FormState) {
  const own = await readOwnRules(c.get('services').db)
  const elsewhere = [...new Set(own.map(({ scheme }) => scheme))].flatMap((name) =>
    findScheme(name) === null ? (findScheme(name, own) ?? []) : [],
  )
  const schemes = [...SCHEMES.map(({ id }) => findScheme(id, own)), ...elsewhere]
  return (
    <Page
      c={c}
      title="Rules of schemes"
      lead="What each scheme asks, as far as its text was read. The text in force counts, not this."
    >
      <Saved c={c} />
      {schemes.map((scheme) => (scheme === null ? null : <SchemeSection scheme={scheme} />))}
      <OwnForm form={form} />
    </Page>
  )
}

function SchemeSection({ scheme }: { scheme: Scheme }) {
  const heading = `scheme-${scheme.id}`
  const { classes, classesFrom } = scheme
  return (
    <section aria-labelledby={heading}>
      <h2 id={heading}>{scheme.name}</h2>
      <p>
        Classes, the strictest first: {classes.join(', ') || 'not known here'}{' '}
        <span class="quiet">
          ({classesFrom.citation}; {classesFrom.known})
        </span>
      </p>
      <Table caption="Rules" head={['About', 'Rule', 'Written in', 'How sure']}>
        {scheme.rules.map((rule) => (
          <tr>
            <td>{rule.topic}</td>
            <td>
              {rule.words}
              {isUnknown(rule) ? ': not known here, ask your scheme' : ''}
            </td>
            <td>{rule.citation}</td>
            <td>{rule.known}</td>
          </tr>
        ))}
      </Table>
    </section>
  )
}

function OwnForm({ form }: { form: FormState }) {
  return (
    <form method="post">
      <h2>Set a rule of your scheme</h2>
      <FormProblems form={form} />
      <div class="columns">
        <div>
          <TextField form={form} name="scheme" label="Scheme" hint="as sources name it" required />
          <SelectField
            form={form}
            name="topic"
            label="What is asked"
            options={topics.map((topic) => ({ value: topic, label: topicWords[topic] }))}
            required
          />
          <TextField form={form} name="className" label="Class" hint="empty for every class" />
        </div>
        <div>
          <NumberField
            form={form}
            name="amount"
            label="Figure"
            hint="empty takes the rule for this scheme and class away"
          />
          <NoteField form={form} name="citation" label="Where it is written" required />
        </div>
      </div>
      <p class="note">A rule that is built in still counts beside your own.</p>
      <p class="actions">
        <button class="main">Save</button>
      </p>
    </form>
  )
}
