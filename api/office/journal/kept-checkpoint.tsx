// Holds the journal against a checkpoint that somebody kept, and says in words whether it fits.
import type { Context, Hono } from 'hono'
import { compareKept, KEPT_ENTRY_LIMIT } from '../../journal/kept-checkpoint.ts'
import type { KeptOutcome } from '../../journal/kept-checkpoint.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { NoteField, show } from '../form-page.tsx'
import { Page } from '../layout.tsx'

const path = '/journal/checkpoints/kept'

/** Adds the page under the journal. */
export function addKeptCheckpointPage(pages: Hono<Env>): void {
  pages.get('/checkpoints/kept', (c) => show(c, keptPage(c, freshForm(), null)))
  pages.post('/checkpoints/kept', async (c) => {
    const { personId } = c.get('person')
    await c.get('doors').limits.count('dossier', personId)
    const form = await readForm(c)
    const outcome = await compareKept(c.get('services').db, form.raw('note'))
    const errors: Record<string, string> =
      outcome.outcome === 'no checkpoint' ? { note: outcome.problem } : {}
    const state = { values: form.values, errors, general: null }
    return show(c, keptPage(c, state, outcome), outcome.outcome === 'no checkpoint' ? 422 : 200)
  })
}

function keptPage(c: Context<Env>, form: FormState, outcome: KeptOutcome | null) {
  return (
    <Page
      c={c}
      title="A checkpoint that you kept"
      lead={
        'Give the note of an earlier checkpoint, from a file, a mail, or the symbol on a label. ' +
        'If anything that it covers was changed since, it does not fit any more.'
      }
      actions={
        <a class="button" href="/journal/checkpoints">
          Checkpoints
        </a>
      }
    >
      {outcome === null ? null : <Outcome outcome={outcome} />}
      <form method="post" action={path}>
        <NoteField form={form} name="note" label="The note, all of its lines" required />
        <p class="actions">
          <button class="main">Hold the journal against it</button>
        </p>
      </form>
      <p class="note">
        This server compares, so this tells only somebody who trusts it. Who does not uses{' '}
        <code>npm run verify</code> on a copy of the journal, or the proofs that the machine API
        gives (docs/journal-format.md).
      </p>
    </Page>
  )
}

function Outcome({ outcome }: { outcome: KeptOutcome }) {
  const { isRight, words } = wordsOf(outcome)
  return (
    <p class={isRight ? 'note' : 'care'} role="status">
      <strong>{isRight ? 'It fits.' : 'NOT RIGHT.'}</strong> {words}
    </p>
  )
}

function wordsOf(of: KeptOutcome): { isRight: boolean; words: string } {
  switch (of.outcome) {
    case 'no checkpoint':
      return { isRight: false, words: `This is no checkpoint: ${of.problem}.` }
    case 'signed by no key on record':
      return {
        isRight: false,
        words:
          'No key of this journal signed this note. It is another nursery’s, or of a key that ' +
          'is not on record here any more; then somebody took the key out.',
      }
    case 'journal is shorter':
      return {
        isRight: false,
        words:
          `The note, signed by ${of.key}, covers ${of.size} entries, and the journal holds ` +
          `${of.held}. Entries are missing: restore a backup, and keep this note.`,
      }
    case 'differs':
      return {
        isRight: false,
        words:
          `The first ${of.size} entries are not those that ${of.key} signed: one or more were ` +
          'changed, removed, moved or put in since. Keep this note, change nothing, and run ' +
          '“npm run verify” with it: it narrows down where.',
      }
    case 'fits':
      return {
        isRight: true,
        words:
          `The first ${of.size} entries are those that ${of.key} signed; ${of.since} came since. ` +
          (of.fromBytes
            ? 'Every one of them was read and hashed anew.'
            : `Beyond ${KEPT_ENTRY_LIMIT} entries the kept tree is compared; “npm run verify” ` +
              'reads every entry.'),
      }
  }
}
