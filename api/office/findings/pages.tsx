// Findings: what the records show that a person must answer, in words, and the answers given.
import { sql } from 'kysely'
import { Hono } from 'hono'
import type { Context } from 'hono'
import { findingInEnglish, idsIn } from '../../custody/finding-words.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { readNames } from '../../journal/names.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, NoteField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { Saved, afterSaving } from '../saved.tsx'
import { typedReason } from '../typed-text.ts'

export const findingPages = new Hono<Env>()

const shownLimit = 200

findingPages.get('/', async (c) => {
  const { db } = c.get('services')
  const open = await db
    .selectFrom('finding_open')
    .select(['finding_key', 'code', 'facts'])
    .orderBy('code')
    .orderBy('finding_key')
    .limit(shownLimit)
    .execute()
  const names = await readNames(db, [...new Set(open.flatMap(({ facts }) => idsIn(facts)))])
  return show(
    c,
    <Page
      c={c}
      title="Findings"
      lead="What the records show that a person must answer. Nothing goes away without a reason."
    >
      <Saved c={c} />
      {open.length === 0 ? <p class="note">Nothing is open.</p> : null}
      {open.map(({ finding_key, code, facts }) => {
        const words = findingInEnglish(code, facts, (id) => names.get(id) ?? id)
        return (
          <section>
            <h2>{words.title}</h2>
            <p>
              <strong>{words.severity}:</strong> {words.sentence}
            </p>
            <p class="quiet">{words.mend}</p>
            <p>
              <a class="button" href={`/findings/${encodeURIComponent(finding_key)}`}>
                Answer
              </a>
            </p>
          </section>
        )
      })}
    </Page>,
  )
})

findingPages.get('/:key', async (c) => show(c, await answerPage(c, freshForm())))
findingPages.post('/:key', (c) =>
  submit(c, {
    page: (form) => answerPage(c, form),
    save: async (form) => {
      const { finding_key } = await readFinding(c)
      const answer = typedReason(form, 'answer', 'The answer')
      form.check()
      const body = { findingKey: finding_key, answer }
      await recordAtDesk(c.get('services').db, deskOf(c), [{ kind: 'finding.answered', body }])
      return afterSaving('/findings', 1)
    },
  }),
)

async function readFinding(c: Context<Env>) {
  const rows = await sql<{ finding_key: string; code: string; facts: unknown }>`
    select finding_key, code, facts from finding_open
    where finding_key = ${c.req.param('key') ?? ''}`.execute(c.get('services').db)
  const finding = rows.rows[0]
  if (finding === undefined) {
    refuse('not_found', 'this finding is answered already, or no longer so', { status: 404 })
  }
  return finding
}

async function answerPage(c: Context<Env>, form: FormState) {
  const finding = await readFinding(c)
  const names = await readNames(c.get('services').db, idsIn(finding.facts))
  const words = findingInEnglish(finding.code, finding.facts, (id) => names.get(id) ?? id)
  return (
    <Page c={c} title={words.title} lead={words.sentence}>
      <p>{words.mend}</p>
      <FormProblems form={form} />
      <form method="post" action={c.req.path}>
        <NoteField form={form} name="answer" label="What was found out and done" required />
        <button class="main">Answer it</button>
      </form>
    </Page>
  )
}
