// The list of lots and a lot's page show what the journal says.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newId } from '../../api/platform/clock.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { pageAt, plainText } from './form-answers.ts'
import { at, recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
})
afterAll(() => office.drop())

it('an empty nursery says how to begin', async () => {
  const page = await pageAt(office, '/lots')
  expect(page).toContain('Cut or receive one to begin')
  expect(htmlProblems(page)).toEqual([])
})

describe('in a nursery with lots', () => {
  let sound = ''
  let used = ''
  let old = ''
  beforeAll(async () => {
    scene = await recordScene(office)
    sound = (await recordLot(office, scene, '27-001')).lotId
    used = (await recordLot(office, scene, '27-002', { bundles: [], sticks: 2 })).lotId
    old = (await recordLot(office, scene, '25-009', {}, at('2025-12-20T09:00'))).lotId
    const from = { kind: 'place' as const, id: scene.room }
    const rowId = newId()
    const wood = { lotId: used, bundleId: null, unit: 'stick' as const, count: 2 }
    await office.record([
      {
        kind: 'wood.handed_over',
        occurredAt: at('2027-02-08T07:00'),
        body: { wood, from, toHolderId: scene.crew, note: '' },
      },
      ...[1, 2, 3].map((position) => ({
        kind: 'graft.made' as const,
        occurredAt: at(`2027-02-09T0${position}:00`),
        body: {
          vine: { rowId, position },
          lotId: used,
          bundleId: null,
          from: { kind: 'holder' as const, id: scene.crew },
          method: 'chip bud',
          budCount: 4,
          knifeId: null,
          tie: null,
          note: '',
        },
      })),
    ])
  })

  it('the list shows verdict, what is left and what was set', async () => {
    const page = await pageAt(office, '/lots')
    expect(htmlProblems(page)).toEqual([])
    const text = plainText(page)
    expect(text).toMatch(/27-001 caution Alba Fina 12 certified Hill block 240 sticks 0/)
    // Two sticks of six buds, and twelve buds set: nothing is left.
    expect(text).toMatch(
      /27-002 stop Alba Fina 12 certified Hill block 0 buds, on opened sticks 12/,
    )
    expect(text).toMatch(/25-009 stop/)
  })

  it('the list is narrowed by what is ticked and keeps the ticks', async () => {
    const left = await pageAt(office, '/lots?left=yes&season=yes')
    expect(plainText(left)).toContain('27-001')
    expect(plainText(left)).not.toContain('25-009')
    expect(left.match(/ checked=""/g)?.length).toBe(2)
    expect(plainText(await pageAt(office, '/lots?held=yes'))).toContain('No lot fits')
    expect(plainText(await pageAt(office, '/lots?find=25-0'))).toContain('1 lot, newest first')
    expect(plainText(await pageAt(office, '/lots?page=7&find=%25'))).toContain('No lot fits')
  })

  it('the books of a lot show every account and add up to nothing', async () => {
    const text = plainText(await pageAt(office, `/lots/${used}`))
    expect(text).toMatch(/cut from Hill block -2 0/)
    expect(text).toMatch(/with Crew north 2 -12/)
    expect(text).toMatch(/vines of a row not registered here 0 12/)
    expect(text).toMatch(/Together 0 0/)
  })

  it('the story tells grafts of a row and day in one line', async () => {
    const page = await pageAt(office, `/lots/${used}`)
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('12 buds set on 3 vines (chip bud)')
    expect(plainText(page)).toContain('By the records nothing is left of this lot')
  })

  it('the verdict names the numbers, their source and who says otherwise', async () => {
    const text = plainText(await pageAt(office, `/lots/${old}`))
    expect(text).toContain('Stop: Cut 417 days ago; the limit is 243 days.')
    expect(text).toContain('International Journal of Sustainable Agricultural Research')
    expect(text).toContain('Sources disagree.')
    expect(text).toContain('Evidence, not a certificate')
  })

  it('a lot that entries use but none made says so and shows its story', async () => {
    const lotId = newId()
    await office.record([
      {
        kind: 'wood.discarded',
        body: {
          wood: { lotId, bundleId: null, unit: 'stick', count: 3 },
          from: { kind: 'place', id: scene.room },
          reason: 'no label',
        },
      },
    ])
    const page = await pageAt(office, `/lots/${lotId}`)
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('A lot that no entry made')
    expect(plainText(page)).toContain('3 sticks (loose) discarded from Cold room: no label')
  })

  it('a lot that nobody speaks of is not found', async () => {
    const response = await office.app.request(`/lots/${newId()}`)
    expect(response.status).toBe(404)
    expect(sound).not.toBe('')
  })
})
