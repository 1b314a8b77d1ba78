// What devices sent that could not be read as entries: kept, shown, and dealt with by a person.
import type { Context, Hono } from 'hono'
import { dealWithAside, listAside } from '../../journal/read.ts'
import type { AsideLine } from '../../journal/read.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, NoteField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { typedReason } from '../typed-text.ts'

const shownLimit = 100
const shownBytes = 4000

/** Adds the page of set-aside values and the form that notes how one was dealt with. */
export function addAsidePages(pages: Hono<Env>): void {
  pages.get('/aside', async (c) => show(c, await asidePage(c, freshForm())))
  pages.post('/aside/:number{[0-9]{1,15}}', (c) =>
    submit(c, {
      page: (form) => asidePage(c, form),
      save: async (form) => {
        const note = typedReason(form, 'note', 'What was done')
        form.check()
        const { personId, now } = deskOf(c)
        const id = Number(c.req.param('number'))
        const done = await dealWithAside(c.get('services').db, id, { personId, at: now, note })
        if (!done) form.problem('note', 'somebody has dealt with this already')
        form.check()
        return '/journal/aside'
      },
    }),
  )
}

async function asidePage(c: Context<Env>, form: FormState) {
  const { db } = c.get('services')
  const [lines, zone] = await Promise.all([listAside(db, shownLimit), nurseryTimeZone(db)])
  return (
    <Page
      c={c}
      title="Set aside"
      lead="Sent by a device, not readable as an entry, kept byte for byte: nothing is lost."
    >
      <FormProblems form={form} />
      {lines.length === 0 ? <p class="note">Nothing is set aside.</p> : null}
      {lines.map((line) => (
        <Aside line={line} zone={zone} form={form} />
      ))}
    </Page>
  )
}

function Aside({ line, zone, form }: { line: AsideLine; zone: string; form: FormState }) {
  const text = line.raw.toString('utf8')
  return (
    <section>
      <h2>
        {shownTime(line.received_at, zone)}, from {line.device ?? line.device_id}
      </h2>
      <p>
        <strong>{line.problem_code.replaceAll('_', ' ')}:</strong> {line.problem_detail}
      </p>
      <details>
        <summary>What was sent ({line.raw.length} bytes)</summary>
        <pre tabindex={0}>{text.slice(0, shownBytes)}</pre>
      </details>
      {line.dealt_with_at === null && line.problem_code === 'revoked_device' ? (
        <p>
          <a href={`/people/devices/${line.device_id}`}>Judge what came from this device</a>
        </p>
      ) : line.dealt_with_at === null ? (
        <form method="post" action={`/journal/aside/${line.set_aside_id}`}>
          <NoteField
            form={form}
            name="note"
            label="What was done about it"
            hint="for example: recorded again by hand as …"
            required
          />
          <button>Dealt with</button>
        </form>
      ) : (
        <p class="note">
          Dealt with {shownTime(line.dealt_with_at, zone)}: {line.dealt_with_note}
        </p>
      )}
    </section>
  )
}
