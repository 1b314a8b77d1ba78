// Enrolling a phone: a code and a symbol that live ten minutes, then the way to the fingerprint.
import type { Context } from 'hono'
import { enrolAddress, inGroups } from '#wire/api-enrol.ts'
import { beginEnrolment, ENROL_CODE_MS, readEnrolment } from '../../people/enrolment.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { requestOrigin } from '../../platform/request.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { shownTime } from '../times.ts'
import { typedName } from '../typed-text.ts'
import { QrPicture } from './secret.tsx'
import { showOnce } from './show-once.ts'

const minutes = ENROL_CODE_MS / 60_000

/** Asks what the phone is called. */
export function showNewPhone(c: Context<Env>) {
  return show(c, namePage(c, freshForm()))
}

/** Makes a code and shows it, once. */
export function saveNewPhone(c: Context<Env>) {
  return showOnce(c, { make: (form) => makeCode(c, form), page: (form) => namePage(c, form) })
}

async function makeCode(c: Context<Env>, form: FormReader) {
  const { db, clock } = c.get('services')
  const deviceName = typedName(form, 'name', 'the name')
  form.check()
  const given = { deviceName, madeBy: c.get('person').personId, now: clock.now() }
  const { enrolmentId, code } = await beginEnrolment(db, given)
  return (
    <Page
      c={c}
      title={`Enrol ${deviceName}`}
      lead={
        'Scan this with the phone, or open the phone app there and type the code. It works once, ' +
        `for ${minutes} minutes.`
      }
    >
      <QrPicture text={enrolAddress(requestOrigin(c), code)} label="Symbol that begins enrolment" />
      <p class="code">{inGroups(code)}</p>
      <p>
        <a class="button main" href={`/people/devices/enrolments/${enrolmentId}`}>
          The phone shows a fingerprint
        </a>
      </p>
    </Page>
  )
}

/** How the enrolment stands; once the phone has brought its key, the way to the fingerprint. */
export async function showEnrolment(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const enrolmentId = pathId(c, 'enrolmentId', 'enrolment')
  const enrolment = found(await readEnrolment(db, enrolmentId, clock.now()), 'enrolment')
  if (enrolment.state === 'used') return c.redirect(`/people/devices/${enrolment.deviceId}`, 303)
  const zone = await nurseryTimeZone(db)
  return show(
    c,
    <Page c={c} title={`Enrol ${enrolment.deviceName}`}>
      {enrolment.state === 'open' ? (
        <p class="note">
          No phone has used the code yet. It works until {shownTime(enrolment.expiresAt, zone)}.
        </p>
      ) : (
        <p class="note">The code can be used no more: begin again.</p>
      )}
      {enrolment.wrongCodes === 0 ? null : (
        <p class="note">
          Wrong codes tried meanwhile: {enrolment.wrongCodes}. If nobody mistyped, somebody guesses.
        </p>
      )}
      <p class="actions">
        <a class="button main" href={`/people/devices/enrolments/${enrolmentId}`}>
          Look again
        </a>
        <a class="button" href="/people/devices/new">
          Begin again
        </a>
      </p>
    </Page>,
  )
}

function namePage(c: Context<Env>, form: FormState) {
  return (
    <Page
      c={c}
      title="Enrol a phone"
      lead="The phone makes a key that cannot leave it. Have the phone at hand."
    >
      <form method="post" action="/people/devices/new">
        <FormProblems form={form} />
        <TextField
          form={form}
          name="name"
          label="What the phone is called"
          hint="like Phone 3, orange cover; not the name of a person"
          required
        />
        <p class="actions">
          <button class="main">Show the code</button>
          <a class="button" href="/people/devices">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
