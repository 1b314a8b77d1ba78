// Choosing wood in a form by scanning its tags, and the tags that are refused.
import { randomBytes } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeTagCode } from '#trade/tag-code.ts'
import { readPositions } from '../../api/store/positions.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

/** Where the lot's wood is, as people read it. */
async function whereabouts(lotId: string): Promise<string[]> {
  const { positions } = await readPositions(office.services.db, 'UTC', { lotIds: [lotId] })
  return positions.map(
    ({ bundleNumber, accountName, sticks, buds }) =>
      `${bundleNumber ?? 'loose'}: ${sticks}+${buds}, ${accountName}`,
  )
}

describe('choosing wood by its tag', () => {
  const newCode = () => makeTagCode((count) => randomBytes(count))
  const bind = async (code: string, kind: 'bundle' | 'lot' | 'place', id: string) => {
    await office.record([{ kind: 'tag.bound', body: { code, thing: { kind, id } } }])
  }

  it('takes the bundle whose tag was scanned, grouped or as an address', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-030')
    const [one, two] = [newCode(), newCode()]
    await bind(one, 'bundle', bundleIds[0] ?? '')
    await bind(two, 'bundle', bundleIds[1] ?? '')
    const tags = `${one.toLowerCase()}\r\nHTTPS://LABELS.EXAMPLE.ORG/T/${two}`
    await expectSaved(office, `/lots/${lotId}/move`, { tags, placeId: scene.shed })
    expect(await whereabouts(lotId)).toEqual([
      'loose: 40+0, Cold room',
      '1: 100+0, Grafting shed',
      '2: 100+0, Grafting shed',
    ])
  })

  it('refuses a tag of another lot, naming the bundle that it is on', async () => {
    const { lotId } = await recordLot(office, scene, '27-031')
    const other = await recordLot(office, scene, '27-032')
    const code = newCode()
    await bind(code, 'bundle', other.bundleIds[1] ?? '')
    await expectRefused(
      office,
      `/lots/${lotId}/move`,
      { tags: code, placeId: scene.shed },
      { tags: /is on bundle 2 of 27-032, not on wood of 27-031/ },
    )
  })

  it('refuses a tag misread, spoiled, on a place, or on nothing yet', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-033')
    const [good, spoiled, shelf] = [newCode(), newCode(), newCode()]
    await bind(spoiled, 'bundle', bundleIds[0] ?? '')
    await office.record([{ kind: 'tag.spoiled', body: { code: spoiled, reason: 'torn' } }])
    await bind(shelf, 'place', scene.rack)
    const path = `/lots/${lotId}/move`
    const refused = (tags: string, message: RegExp) =>
      expectRefused(office, path, { tags, placeId: scene.shed }, { tags: message })
    await refused(good.slice(0, 9), /eleven|11 characters/)
    await refused(good, /not bound to anything yet/)
    await refused(spoiled, /was spoiled/)
    await refused(shelf, /is on a place, not on wood/)
  })
})
