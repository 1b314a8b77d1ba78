// Findings: what the records show that a person must answer, in words, and the answers given.
import { sql } from 'kysely'
import { Hono } from 'hono'
import type { Context } from 'hono'
import { findingInEnglish, findingWords, idsIn } from '../../custody/finding-words.ts'
import type { Database } from '../../../db/connect.ts'
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
  const open = await readOpen(db)
  const shown = open.slice(0, shownLimit)
  const names = await readNames(db, [...new Set(shown.flatMap(({ facts }) => idsIn(facts)))])
  const byCode = new Map<string, OpenFinding[]>()
  for (const finding of shown) {
    byCode.set(finding.code, [...(byCode.get(finding.code) ?? []), finding])
  }
  return show(
    c,
    <Page
      c={c}
      title="Findings"
      lead="What the records show that a person must answer. Nothing goes away without a reason."
    >
      <Saved c={c} />
      {open.length === 0 ? <p class="note">Nothing is open.</p> : null}
      {open.length > shownLimit ? (
        <p class="care">
          Only the first {shownLimit} are shown; the rest come when these are answered.
        </p>
      ) : null}
      {[...byCode.values()].map((same) => (
        <SameFindings findings={same} nameOf={(id) => names.get(id) ?? id} />
      ))}
    </Page>,
  )
})

type OpenFinding = { finding_key: string; code: string; facts: unknown }

/** What must be answered first, then what is to be looked at; one more than is shown. */
async function readOpen(db: Database): Promise<OpenFinding[]> {
  const milder = Object.entries(findingWords).flatMap(([code, { severity }]) =>
    severity === 'must answer' ? [] : [code],
  )
  const { rows } = await sql<OpenFinding>`
    select finding_key, code, facts from finding_open
    order by code = any(${milder}::text[]), code, finding_key limit ${shownLimit + 1}`.execute(db)
  return rows
}

/** Findings of one code: what they mean once, and each with its own answer. */
function SameFindings(props: { findings: readonly OpenFinding[]; nameOf: (id: string) => string }) {
  const told = props.findings.map(({ finding_key, code, facts }) => ({
    key: finding_key,
    words: findingInEnglish(code, facts, props.nameOf),
  }))
  const [first] = told
  if (first === undefined) return null
  return (
    <section>
      <h2>{first.words.title}</h2>
      <p class="quiet">
        <strong>{first.words.severity}:</strong> {first.words.mend}
      </p>
      {told.map(({ key, words }) => (
        <p>
          {words.sentence}{' '}
          <a class="button" href={`/findings/${encodeURIComponent(key)}`}>
            Answer
          </a>
        </p>
      ))}
    </section>
  )
}

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
