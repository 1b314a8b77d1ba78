// Custody: who has which wood, taking it back, and holds from placing to lifting by two people.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { newId } from '../../api/platform/clock.ts'
import { positionKey } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
let lot: { lotId: string; bundleIds: string[] }
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
  lot = await recordLot(office, scene, '27-001')
})
afterAll(() => office.drop())

const inRoom = (bundleId: string | null) =>
  positionKey(lot.lotId, bundleId, { kind: 'place', id: scene.room })
const withCrew = (bundleId: string | null, crew = scene.crew) =>
  positionKey(lot.lotId, bundleId, { kind: 'holder', id: crew })

describe('wood in hand', () => {
  it('is handed over from the list of all wood, and stands with its holder', async () => {
    expect(htmlProblems(await pageAt(office, '/custody'))).toEqual([])
    expect(htmlProblems(await pageAt(office, '/custody/hand-over'))).toEqual([])
    const wood = [inRoom(lot.bundleIds[0] ?? null), inRoom(null)]
    const fields = { wood, toHolderId: scene.crew, note: '', when: '2027-02-10T07:00' }
    expect(await expectSaved(office, '/custody/hand-over', fields)).toBe('/custody?saved=2')
    const page = await pageAt(office, '/custody')
    // 140 sticks of 6 buds.
    expect(plainText(page)).toMatch(/Crew north \(crew\) In hand: 840 buds in all/)
    expect(plainText(page)).toMatch(/With nothing in hand: Crew south, Tessa Arden/)
    expect(htmlProblems(page)).toEqual([])
  })

  it('passes from one crew to another', async () => {
    const fields = { wood: withCrew(null), toHolderId: scene.otherCrew }
    await expectSaved(office, '/custody/hand-over', fields)
    expect(await lastBody(office, 'wood.handed_over')).toMatchObject({
      from: { kind: 'holder', id: scene.crew },
      toHolderId: scene.otherCrew,
    })
  })

  it('comes back from one crew alone when that crew is asked for', async () => {
    const address = `/custody/return?holder=${scene.otherCrew}`
    const page = await pageAt(office, address)
    expect(plainText(page)).toContain('Take wood back from Crew south')
    expect(page).not.toContain(withCrew(lot.bundleIds[0] ?? null))
    const wood = withCrew(null, scene.otherCrew)
    const fields = { wood, [`sticks-${wood}`]: '25', placeId: scene.bin, note: 'left over' }
    await expectSaved(office, address, fields)
    expect(await lastBody(office, 'wood.returned')).toMatchObject({
      fromHolderId: scene.otherCrew,
      placeId: scene.bin,
      wood: { unit: 'stick', count: 25 },
      note: 'left over',
    })
    expect(plainText(await pageAt(office, '/custody'))).toMatch(/Crew south .* 15 sticks/)
  })

  it('cannot come back in greater number than it went, nor to nowhere', async () => {
    const wood = withCrew(null, scene.otherCrew)
    const field = `sticks-${wood}`
    const fields = { wood, [field]: '16', placeId: '' }
    await expectRefused(office, '/custody/return', fields, {
      [field]: /27-001, loose, Crew south: 15 sticks there, not 16 sticks/,
      placeId: /choose where/,
    })
  })
})

describe('a hold', () => {
  const placing = (on: string) => ({
    on,
    agent: 'leafroll viruses (GLRaV-1, -2, -3, -4)',
    reason: 'the laboratory asks for a second sample',
    when: '',
  })

  it('stops the lot it is placed on, and the lot’s page leads to it', async () => {
    const address = `/custody/holds/place?kind=lot&id=${lot.lotId}`
    const page = await pageAt(office, address)
    expect(htmlProblems(page)).toEqual([])
    expect(page).toMatch(new RegExp(`value="lot ${lot.lotId}" selected`))
    const hold = await expectSaved(office, '/custody/holds/place', placing(`lot ${lot.lotId}`))
    expect(htmlProblems(await pageAt(office, hold))).toEqual([])
    const shown = await pageAt(office, `/lots/${lot.lotId}`)
    expect(plainText(shown)).toMatch(/May it be used\? stop/)
    expect(plainText(shown)).toContain('the laboratory asks for a second sample')
    expect(shown).toContain(`href="${hold.replace('?saved=1', '')}"`)
    expect(plainText(await pageAt(office, '/lots?held=yes'))).toMatch(/27-001 stop on hold/)
  })

  it('is refused on nothing, on what nobody knows, and without a reason', async () => {
    const path = '/custody/holds/place'
    const empty = { ...placing(''), reason: '' }
    await expectRefused(office, path, empty, { on: /choose what/, reason: /say why/ })
    const unknown = { ...placing(`source ${newId()}`), agent: 'GLR\u202Ba' }
    await expectRefused(office, path, unknown, { on: /source is not known/, agent: /U\+202B/ }, [
      'on',
    ])
    await expectRefused(office, path, placing("lot '; drop"), { on: /choose what/ }, ['on'])
  })

  it('on a place, a bath or a source shows in the list with what it is on', async () => {
    await expectSaved(office, '/custody/holds/place', placing(`place ${scene.rack}`))
    await expectSaved(office, '/custody/holds/place', placing(`source ${scene.otherSource}`))
    const page = await pageAt(office, '/custody/holds')
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('place Rack A')
    expect(plainText(page)).toContain('source Dale block')
  })

  it('is lifted by a second person alone, and the record names both', async () => {
    const { holdId } = (await lastBody(office, 'hold.placed')) as { holdId: string }
    const page = `/custody/holds/${holdId}`
    await expectRefused(office, `${page}/lift`, { reason: '' }, { reason: /say why/ })
    await expectSaved(office, `${page}/lift`, { reason: 'the second sample was clean' })
    expect(plainText(await pageAt(office, page))).toContain('A second person must agree')
    const own = await office.post(`${page}/answer`, { answer: 'agree' })
    expect(own.status).toBe(403)
    expect(plainText(await own.text())).toContain('a second person must agree')
    const other = await secondPerson()
    const response = await other(`${page}/answer`, 'answer=agree')
    expect(response.status, await response.clone().text()).toBe(303)
    const body = await lastBody(office, 'hold.lifted')
    expect(body).toMatchObject({ holdId, reason: 'the second sample was clean' })
    expect(plainText(await pageAt(office, page))).toMatch(/by Tessa Arden and Milo Fenn/)
    expect(plainText(await pageAt(office, '/custody/holds'))).toContain('lifted 2027-02-10')
  })

  it('stands on when the request to lift it is refused', async () => {
    const hold = await expectSaved(office, '/custody/holds/place', placing(`place ${scene.bin}`))
    const page = hold.replace('?saved=1', '')
    await expectSaved(office, `${page}/lift`, { reason: 'by mistake' })
    await expectSaved(office, `${page}/answer`, { answer: 'drop' })
    expect(plainText(await pageAt(office, page))).toContain('not lifted: it stands')
  })

  /** Posts as another person who may lift holds. */
  async function secondPerson() {
    const who = { personId: newId(), name: 'Milo Fenn', role: 'office' as const }
    const person = { ...who, provenAt: office.services.clock.now() }
    await office.services.db
      .insertInto('person')
      .values({ person_id: person.personId, name: person.name, role: person.role })
      .execute()
    const app = newApp(office.services, async () => person)
    return (path: string, body: string) =>
      app.request(`http://localhost${path}`, {
        method: 'POST',
        body,
        headers: {
          origin: 'http://localhost',
          'content-type': 'application/x-www-form-urlencoded',
        },
      })
  }
})

it('an entry withdrawn from the story counts no more and still shows, struck through', async () => {
  const { lotId } = await recordLot(office, scene, '27-050', { bundles: [] })
  const wood = positionKey(lotId, null, { kind: 'place', id: scene.room })
  const fields = { wood, [`sticks-${wood}`]: '30', reason: 'counted twice' }
  await expectSaved(office, `/lots/${lotId}/discard`, fields)
  const story = await pageAt(office, `/lots/${lotId}`)
  const way = /href="(\/journal\/[0-9a-f-]{36})#withdraw"/g
  const last = [...story.matchAll(way)].at(-1)?.[1] ?? ''
  expect(plainText(story)).toContain('withdrawn, never erased')
  await expectSaved(office, `${last}/withdraw`, { reason: 'nothing was thrown away' })
  const after = await pageAt(office, `/lots/${lotId}`)
  expect(after).toMatch(/class="withdrawn">30 sticks \(loose\) discarded/)
  expect(plainText(after)).toContain('by Tessa Arden: nothing was thrown away')
  expect(plainText(after)).toMatch(/Cold room loose 240 sticks/)
  expect(htmlProblems(after)).toEqual([])
})
