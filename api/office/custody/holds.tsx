// Holds: the list, one hold with what became of it, and the form that lifts it.
import type { Context } from 'hono'
import { readHold, readHolds } from '../../custody/holds.ts'
import type { HoldLine } from '../../custody/holds.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { askRelease, confirmRelease, dropRelease, openRequests } from '../../people/release.ts'
import type { OpenRequest } from '../../people/release.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NoteField, show, submit } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { shownDay, shownTime } from '../times.ts'
import { typedReason } from '../typed-text.ts'

/** Shows all holds, those that stand first. */
export async function showHolds(c: Context<Env>) {
  const { db } = c.get('services')
  const [holds, zone, requests] = await Promise.all([
    readHolds(db),
    nurseryTimeZone(db),
    openRequests(db),
  ])
  const waiting = new Set(requests.map(({ hold_id }) => hold_id))
  return show(
    c,
    <Page
      c={c}
      title="Holds"
      lead="Use is stopped for a lot, source, bath or place, and for what the agent could reach."
      actions={
        <a class="button main" href="/custody/holds/place">
          Place a hold
        </a>
      }
    >
      <Saved c={c} />
      {holds.length === 0 ? (
        <p class="note">No hold was ever placed.</p>
      ) : (
        <Table
          caption="Holds, those that stand first"
          head={['On', 'Agent', 'Reason', 'Placed', 'By', 'Stands?']}
        >
          {holds.map((hold) => (
            <tr>
              <td>
                <a href={`/custody/holds/${hold.holdId}`}>{onWords(hold)}</a>
              </td>
              <td>{hold.agent ?? ''}</td>
              <td>{hold.reason}</td>
              <td class="whole">{shownDay(hold.placedAt, zone)}</td>
              <td>{hold.placedBy ?? 'somebody'}</td>
              <td>{standsWords(hold, waiting.has(hold.holdId), zone)}</td>
            </tr>
          ))}
        </Table>
      )}
    </Page>,
  )
}

function onWords({ onKind, onName }: HoldLine): string {
  return `${onKind} ${onName ?? 'not registered here'}`
}

function standsWords(hold: HoldLine, isWaiting: boolean, zone: string): string {
  if (hold.liftedAt !== null) return `lifted ${shownDay(hold.liftedAt, zone)}`
  return isWaiting ? 'stands; a second person is asked to agree to lift it' : 'stands'
}

/** Shows one hold. */
export async function showHold(c: Context<Env>) {
  return show(c, await holdPage(c, freshForm()))
}

/** Asks for the hold to be lifted: at once, or once a second person has agreed. */
export function saveRelease(c: Context<Env>) {
  return submit(c, {
    page: (form) => holdPage(c, form),
    save: async (form) => {
      const { db } = c.get('services')
      const holdId = pathId(c, 'holdId', 'hold')
      const reason = typedReason(form, 'reason', 'Reason')
      form.check()
      const became = await askRelease(db, deskOf(c), { holdId, reason })
      const page = `/custody/holds/${holdId}`
      return became === 'lifted' ? afterSaving(page, 1) : page
    },
  })
}

/** The second person agrees, or the request is dropped. */
export function saveAnswer(c: Context<Env>) {
  return submit(c, {
    page: (form) => holdPage(c, form),
    save: async (form) => {
      const { db, clock } = c.get('services')
      const holdId = pathId(c, 'holdId', 'hold')
      const [request] = await openRequests(db, holdId)
      if (request === undefined) {
        refuse('no_such_request', 'this request was answered or taken back before')
      }
      const answer = form.choice('answer', 'what you decide', ['agree', 'drop'] as const)
      form.check()
      if (answer === 'agree') await confirmRelease(db, deskOf(c), request.request_id)
      else await dropRelease(db, request.request_id, clock.now())
      const page = `/custody/holds/${holdId}`
      return answer === 'agree' ? afterSaving(page, 1) : page
    },
  })
}

async function holdPage(c: Context<Env>, form: FormState) {
  const { db } = c.get('services')
  const holdId = pathId(c, 'holdId', 'hold')
  const hold = found(await readHold(db, holdId), 'hold')
  const zone = await nurseryTimeZone(db)
  const [request] = await openRequests(db, holdId)
  return (
    <Page c={c} title={`Hold on ${onWords(hold)}`}>
      <Saved c={c} />
      <FormProblems form={form} />
      <HoldFacts hold={hold} zone={zone} />
      {hold.liftedAt !== null ? null : request === undefined ? (
        <LiftForm holdId={holdId} form={form} />
      ) : (
        <Waiting request={request} personId={c.get('person').personId} zone={zone} />
      )}
      <p>
        <a href="/custody/holds">All holds</a>
      </p>
    </Page>
  )
}

function HoldFacts({ hold, zone }: { hold: HoldLine; zone: string }) {
  const lifters = [hold.liftedBy, hold.secondPerson].filter((name) => name !== null)
  return (
    <dl class="facts">
      <dt>On</dt>
      <dd>
        <HeldLink hold={hold} />
      </dd>
      <dt>Health agent</dt>
      <dd>{hold.agent ?? 'none named: every route counts'}</dd>
      <dt>Reason</dt>
      <dd>{hold.reason}</dd>
      <dt>Placed</dt>
      <dd>
        {shownTime(hold.placedAt, zone)} by {hold.placedBy ?? 'somebody not registered here'}
      </dd>
      <dt>Lifted</dt>
      <dd>
        {hold.liftedAt === null
          ? 'not lifted: it stands'
          : `${shownTime(hold.liftedAt, zone)} by ${lifters.join(' and ') || 'somebody'}: ` +
            (hold.liftReason ?? '')}
      </dd>
    </dl>
  )
}

function HeldLink({ hold }: { hold: HoldLine }) {
  const { onKind, onId } = hold
  const hrefs = {
    lot: `/lots/${onId}`,
    source: `/sources/${onId}`,
    bath: `/soak/${onId}`,
    place: `/store?place=${onId}`,
  }
  return <a href={hrefs[onKind]}>{onWords(hold)}</a>
}

function LiftForm({ holdId, form }: { holdId: string; form: FormState }) {
  return (
    <form method="post" action={`/custody/holds/${holdId}/lift`}>
      <h2>Lift the hold</h2>
      <NoteField
        form={form}
        name="reason"
        label="Reason"
        required
        hint="what has shown that the wood may be used again; where an authority ordered the hold,
          it also decides about lifting it"
      />
      <button>Ask to lift it</button>
    </form>
  )
}

function Waiting(props: { request: OpenRequest; personId: string; zone: string }) {
  const { request, zone } = props
  const isAsker = request.asked_by === props.personId
  return (
    <form method="post" action={`/custody/holds/${request.hold_id}/answer`}>
      <h2>Asked to be lifted</h2>
      <p>
        {request.asked_by_name} asked on {shownTime(request.asked_at, zone)}: {request.reason}
      </p>
      <p class="actions">
        {isAsker ? (
          <span>A second person must agree before it is lifted.</span>
        ) : (
          <button class="main" name="answer" value="agree">
            Agree and lift the hold
          </button>
        )}
        <button name="answer" value="drop">
          {isAsker ? 'Take the request back' : 'Refuse: the hold stands on'}
        </button>
      </p>
    </form>
  )
}
