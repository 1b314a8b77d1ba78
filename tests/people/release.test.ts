// Lifting a hold takes two people, however many sessions one of them has.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { confirmRelease, openRequests } from '../../api/people/release.ts'
import { newId } from '../../api/platform/clock.ts'
import { realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

let real: RealApp
beforeAll(async () => {
  real = await realApp()
})
afterAll(() => real.drop())

const db = () => real.services.db

async function heldLot(): Promise<string> {
  const holdId = newId()
  const on = { kind: 'lot' as const, id: newId() }
  await real.record([{ kind: 'hold.placed', body: { holdId, on, agent: null, reason: 'doubt' } }])
  return holdId
}

const stands = async (holdId: string) =>
  (await db().selectFrom('standing_hold').select('hold_id').execute()).some(
    (hold) => hold.hold_id === holdId,
  )

const lift = (holdId: string, cookie: string) =>
  real.post(`/custody/holds/${holdId}/lift`, { cookie, fields: { reason: 'two clean tests' } })
const answer = (holdId: string, cookie: string, what = 'agree') =>
  real.post(`/custody/holds/${holdId}/answer`, { cookie, fields: { answer: what } })

describe('a hold', () => {
  it('is not lifted by the person who asked, under a second session either', async () => {
    const holdId = await heldLot()
    const [one, other] = [await real.cookieFor('office'), await real.cookieFor('office')]
    expect((await lift(holdId, one)).status).toBe(303)
    for (const cookie of [one, other]) {
      const response = await answer(holdId, cookie)
      expect(response.status).toBe(403)
      expect(await response.text()).toContain('a second person must agree')
    }
    expect(await stands(holdId)).toBe(true)
    await expect(
      db()
        .updateTable('release_request')
        .set({ confirmed_by: real.idOf('office') })
        .where('hold_id', '=', holdId)
        .execute(),
    ).rejects.toThrow('check constraint')
  })

  it('is lifted when a second person agrees, and the entry names both', async () => {
    const holdId = await heldLot()
    await lift(holdId, await real.cookieFor('office'))
    expect((await lift(holdId, await real.cookieFor('administrator'))).status).toBe(422)
    const response = await answer(holdId, await real.cookieFor('administrator'))
    expect(response.status).toBe(303)
    expect(await stands(holdId)).toBe(false)
    const lifted = await db()
      .selectFrom('hold_lift')
      .selectAll()
      .where('hold_id', '=', holdId)
      .execute()
    expect(lifted).toMatchObject([
      {
        person_id: real.idOf('office'),
        second_person_id: real.idOf('administrator'),
        reason: 'two clean tests',
      },
    ])
    expect(await openRequests(db(), holdId)).toEqual([])
  })

  it('is lifted once when two people agree at the same moment', async () => {
    const holdId = await heldLot()
    await lift(holdId, await real.cookieFor('office'))
    const cookies = [await real.cookieFor('administrator'), await real.cookieFor('administrator')]
    const answers = await Promise.all(cookies.map((cookie) => answer(holdId, cookie)))
    expect(answers.filter(({ status }) => status === 303)).toHaveLength(1)
    const lifts = db().selectFrom('hold_lift').selectAll().where('hold_id', '=', holdId)
    expect(await lifts.execute()).toHaveLength(1)
  })

  it('stands on when the request is refused, or when who asked may lift no more', async () => {
    const holdId = await heldLot()
    await lift(holdId, await real.cookieFor('office'))
    expect((await answer(holdId, await real.cookieFor('administrator'), 'drop')).status).toBe(303)
    expect((await answer(holdId, await real.cookieFor('administrator'))).status).toBe(422)
    await lift(holdId, await real.cookieFor('office'))
    const office = real.idOf('office')
    const setRole = (role: string) =>
      db().updateTable('person').set({ role }).where('person_id', '=', office).execute()
    await setRole('lead hand')
    const response = await answer(holdId, await real.cookieFor('administrator'))
    expect(await response.text()).toContain('may no longer lift holds')
    expect(await stands(holdId)).toBe(true)
    await setRole('office')
  })

  it('is neither asked for nor lifted by a lead hand or crew', async () => {
    const holdId = await heldLot()
    for (const role of ['lead hand', 'crew'] as const) {
      expect((await lift(holdId, await real.cookieFor(role))).status).toBe(403)
    }
    await lift(holdId, await real.cookieFor('office'))
    expect((await answer(holdId, await real.cookieFor('lead hand'))).status).toBe(403)
    expect(await stands(holdId)).toBe(true)
  })

  it('is lifted by one person where the nursery has set so, from that day on', async () => {
    const holdId = await heldLot()
    const policy = { key: 'holdReleaseNeedsTwo', value: false, source: 'two of us only' }
    await real.record([{ kind: 'policy.set', body: { ...policy, effectiveFrom: '2027-02-04' } }])
    await lift(holdId, await real.cookieFor('office'))
    expect(await stands(holdId)).toBe(true)
    const [request] = await openRequests(db(), holdId)
    real.later(24 * 60)
    const other = await heldLot()
    await lift(other, await real.cookieFor('office'))
    expect(await stands(other)).toBe(false)
    const lifted = db().selectFrom('hold_lift').select('second_person_id')
    expect(await lifted.where('hold_id', '=', other).execute()).toEqual([
      { second_person_id: null },
    ])
    // The request of before still needs its second person.
    const desk = {
      deviceId: real.services.deskDeviceId,
      personId: real.idOf('office'),
      now: real.now(),
    }
    await expect(confirmRelease(db(), desk, request?.request_id ?? '')).rejects.toThrow('second')
  })
})
