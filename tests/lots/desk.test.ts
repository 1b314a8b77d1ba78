// References, bundles and shares of lots, and the list of lots.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { fractionText } from '#trade/fractions.ts'
import { bundleAdvice, makeBundles, packageKind } from '../../api/lots/bundles.ts'
import { mixtureShares } from '../../api/lots/mixture.ts'
import { listLots } from '../../api/lots/read.ts'
import { referenceProblems, suggestReferences } from '../../api/lots/references.ts'
import { newId } from '../../api/platform/clock.ts'
import { recordLot, recordScene, sceneNow } from '../office/wood-scene.ts'
import type { Scene } from '../office/wood-scene.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

describe('references', () => {
  it('begin at 001 in a year without lots and go on from the highest number', async () => {
    const { db } = office.services
    expect(await suggestReferences(db, 2031, 2)).toEqual(['31-001', '31-002'])
    await recordLot(office, scene, '31-0999')
    await recordLot(office, scene, '31-7')
    await recordLot(office, scene, '31-12a')
    await recordLot(office, scene, '30-5000')
    expect(await suggestReferences(db, 2031, 2)).toEqual(['31-1000', '31-1001'])
  })

  it('are free again when the entry that used them was withdrawn', async () => {
    const { db } = office.services
    const given = [{ field: 'reference', reference: '32-001' }]
    await recordLot(office, scene, '32-001')
    expect(await referenceProblems(db, given)).toMatchObject([{ field: 'reference' }])
    const entry = await db
      .selectFrom('lot')
      .select('entry_id')
      .where('reference', '=', '32-001')
      .executeTakeFirstOrThrow()
    const body = { entryId: entry.entry_id, reason: 'typed twice' }
    await office.record([{ kind: 'entry.withdrawn', body }])
    expect(await referenceProblems(db, given)).toEqual([])
  })
})

describe('bundles', () => {
  const whole = { unit: 'stick' as const, count: 240, material: 'scion wood' }
  const fields = { bundleCount: 'n', piecesEach: 'm' }

  it('are tied as wished, and none when nothing was wished', () => {
    const made = makeBundles({ bundleCount: 2, piecesEach: 120 }, whole, fields)
    expect(made.bundles.map(({ unit, count }) => `${count} ${unit}`)).toEqual([
      '120 stick',
      '120 stick',
    ])
    expect(new Set(made.bundles.map(({ bundleId }) => bundleId)).size).toBe(2)
    const none = makeBundles({ bundleCount: null, piecesEach: null }, whole, fields)
    expect(none).toEqual({ bundles: [], problems: [] })
  })

  it('are refused beyond the wood that there is', () => {
    const made = makeBundles({ bundleCount: 3, piecesEach: 81 }, whole, fields)
    expect(made.bundles).toEqual([])
    expect(made.problems[0]?.message).toContain('243 sticks, and there are only 240')
  })

  it('are compared with the row of the law that fits the wood', () => {
    // RebPflV 1986 Anlage 3 (BGBl. I 2006 p. 1442): 100 or 200 scions of five eyes; rootstock
    // cuttings by hundreds; grafted vines 25, 50 or hundreds; rooted vines 50 or hundreds.
    expect(packageKind('scion wood', 5)).toBe('scion_five_eyes')
    expect(packageKind('scion wood', 3)).toBeNull()
    expect(packageKind('rootstock wood', 2)).toBe('rootstock_cutting')
    expect(packageKind('rootstock wood', 0)).toBe('nursery_cutting')
    expect(packageKind('potted vine', 0)).toBeNull()
    expect(bundleAdvice('scion wood', 6, 'stick', 200)).toBeNull()
    expect(bundleAdvice('scion wood', 6, 'stick', 250)).toContain('more than one package may hold')
    expect(bundleAdvice('grafted vine', 0, 'stick', 25)).toBeNull()
    expect(bundleAdvice('rooted vine', 0, 'stick', 25)).toContain('small quantity')
    expect(bundleAdvice('scion wood', 6, 'bud', 7)).toBeNull()
  })
})

it('a mixture’s shares are exact, the largest first, and add up to one', async () => {
  const lots = await Promise.all(
    ['33-001', '33-002', '33-003'].map((reference) => recordLot(office, scene, reference)),
  )
  const parts = lots.map(({ lotId }, nr) => ({ lotId, weight: [1, 3, 2][nr] ?? 0 }))
  const { origins } = await mixtureShares(office.services.db, parts)
  expect(origins.map(({ share }) => fractionText(share))).toEqual(['1/2', '1/3', '1/6'])
  expect(origins.every(({ sourceId }) => sourceId === scene.source)).toBe(true)
  const unknown = await mixtureShares(office.services.db, [{ lotId: newId(), weight: 1 }])
  expect(unknown.problem).toContain('not known')
})

describe('the list of lots', () => {
  it('is narrowed to what is left, held, recent, or fits a text', async () => {
    const { db } = office.services
    const used = await recordLot(office, scene, '34-001', { bundles: [], sticks: 4 })
    const held = await recordLot(office, scene, '34-002')
    await recordLot(office, scene, '34-003', {}, new Date('2026-01-05T09:00:00Z'))
    const wood = { lotId: used.lotId, bundleId: null, unit: 'stick' as const, count: 4 }
    const from = { kind: 'place' as const, id: scene.room }
    const on = { kind: 'lot' as const, id: held.lotId }
    await office.record([
      { kind: 'wood.discarded', body: { wood, from, reason: 'dry' } },
      { kind: 'hold.placed', body: { holdId: newId(), on, agent: null, reason: 'doubt' } },
    ])
    const found = async (filter: Parameters<typeof listLots>[1]) =>
      (await listLots(db, { text: '34-', ...filter })).map(({ reference }) => reference).sort()
    expect(await found({})).toEqual(['34-001', '34-002', '34-003'])
    expect(await found({ left: true })).toEqual(['34-002', '34-003'])
    expect(await found({ held: true })).toEqual(['34-002'])
    expect(await found({ since: new Date('2026-02-10T00:00:00Z') })).toEqual(['34-001', '34-002'])
    expect(await found({ text: '34_00' })).toEqual([])
  })
})
