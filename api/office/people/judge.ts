// Judges entries of a revoked device: into the journal, or left out, each with the reason.
import type { Context } from 'hono'
import { acceptHeld, leaveHeld } from '../../people/held-entries.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import type { FormReader } from '../form.ts'
import { submit } from '../form-page.tsx'
import { pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedReason } from '../typed-text.ts'
import { devicePage } from './device.tsx'

/** Takes the chosen entries into the journal, or leaves them out. */
export function saveJudged(c: Context<Env>) {
  return submit(c, { page: (form) => devicePage(c, form), save: (form) => judge(c, form) })
}

async function judge(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const deviceId = pathId(c, 'deviceId', 'device')
  const setAsideIds = form
    .all('entry')
    .filter((text) => /^\d{1,15}$/.test(text))
    .map(Number)
  if (setAsideIds.length === 0) form.problem('entry', 'tick the entries that you have judged')
  const reason = typedReason(form, 'judgement', 'the reason')
  const what = form.choice('what', 'what becomes of them', ['accept', 'leave'] as const)
  form.check()
  const given = { deviceId, setAsideIds, reason }
  const page = `/people/devices/${deviceId}`
  if (what === 'leave') {
    await leaveHeld(db, deskOf(c), given)
    return page
  }
  const { recorded, unreadable } = await acceptHeld(db, deskOf(c), given)
  if (unreadable.length > 0) {
    const done = recorded === 0 ? '' : `${recorded} were accepted. `
    const first = unreadable[0] ?? ''
    refuse('unreadable', `${done}${unreadable.length} cannot be read as entries: ${first}`)
  }
  return afterSaving(page, recorded)
}
