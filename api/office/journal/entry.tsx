// One entry of the journal in full, and the form that withdraws it.
import type { Context, Hono } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { readEntryById } from '../../journal/read.ts'
import type { JournalEntry } from '../../journal/read.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, NoteField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { Saved, afterSaving } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { typedReason } from '../typed-text.ts'

const address = '/:id{[0-9a-f]{8}-[0-9a-f-]{27}}'

/** Adds the page of one entry and its withdrawal. */
export function addEntryPages(pages: Hono<Env>): void {
  pages.get(address, async (c) => show(c, await entryPage(c, freshForm())))
  pages.post(`${address}/withdraw`, (c) =>
    submit(c, {
      page: (form) => entryPage(c, form),
      save: async (form) => {
        const { db } = c.get('services')
        const entry = await readEntry(c)
        if (entry.kind === 'entry.withdrawn') {
          form.problem('reason', 'a withdrawal stays: record what is right anew instead')
        } else if (entry.withdrawn) {
          form.problem('reason', 'this entry is withdrawn already')
        }
        const reason = typedReason(form, 'reason', 'The reason')
        form.check()
        const draft = { kind: 'entry.withdrawn' as const, body: { entryId: entry.id, reason } }
        await recordAtDesk(db, deskOf(c), [draft])
        return afterSaving(`/journal/${entry.id}`, 1)
      },
    }),
  )
}

async function readEntry(c: Context<Env>): Promise<JournalEntry> {
  const entry = await readEntryById(c.get('services').db, c.req.param('id') ?? '')
  if (entry === null) {
    refuse('not_found', 'the journal has no entry with this id', { status: 404 })
  }
  return entry
}

async function entryPage(c: Context<Env>, form: FormState) {
  const entry = await readEntry(c)
  const zone = await nurseryTimeZone(c.get('services').db)
  return (
    <Page c={c} title={`Entry ${entry.journal_index}: ${entry.kind}`}>
      <Saved c={c} />
      <FormProblems form={form} />
      {entry.withdrawals.map((withdrawal) => (
        <p class="note">
          Withdrawn {shownTime(withdrawal.withdrawn_at, zone)} by {withdrawal.person ?? '?'}:{' '}
          {withdrawal.reason} (<a href={`/journal/${withdrawal.entry_id}`}>the withdrawal</a>). It
          counts nowhere and stays here for ever.
        </p>
      ))}
      <dl class="facts">
        <dt>Happened</dt>
        <dd>{shownTime(entry.occurred_at, zone)} by the device’s clock</dd>
        <dt>Recorded</dt>
        <dd>{shownTime(entry.recorded_at, zone)} by the server’s clock</dd>
        <dt>Person</dt>
        <dd>{entry.person ?? entry.person_id}</dd>
        <dt>Device</dt>
        <dd>
          {entry.device ?? entry.device_id}, its entry number {entry.device_counter}
        </dd>
        <dt>Id</dt>
        <dd class="code">{entry.id}</dd>
        <dt>Leaf hash</dt>
        <dd class="code">{entry.leaf_hash.toString('hex')}</dd>
      </dl>
      <h2>What it says</h2>
      <pre tabindex={0}>{prettyBody(entry.canonical)}</pre>
      {entry.withdrawn || entry.kind === 'entry.withdrawn' ? null : (
        <Withdraw entry={entry} form={form} />
      )}
    </Page>
  )
}

function Withdraw({ entry, form }: { entry: JournalEntry; form: FormState }) {
  return (
    <>
      <h2 id="withdraw">Withdraw this entry</h2>
      <p class="hint">
        For a mistake. The entry will count nowhere from then on, and still show, with your reason.
        Then record what is right.
      </p>
      <form method="post" action={`/journal/${entry.id}/withdraw`}>
        <NoteField form={form} name="reason" label="Why it was a mistake" required />
        <button>Withdraw it</button>
      </form>
    </>
  )
}

function prettyBody(canonical: Buffer): string {
  const entry: unknown = JSON.parse(canonical.toString('utf8'))
  const body = typeof entry === 'object' && entry !== null && 'body' in entry ? entry.body : entry
  return JSON.stringify(body, null, 2)
}
