// The audit of custody: handovers by both sides, gaps, two places at once, balance, and labels.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { NIL_ID } from '../../api/wire/basics.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, pageAt, plainText } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'
import { newId } from '../../api/platform/clock.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

const at = (time: string) => new Date(`2027-02-${time}:00Z`)

async function handOver(lotId: string, count: number, occurredAt: Date): Promise<string> {
  const wood = { lotId, bundleId: null, unit: 'stick' as const, count }
  const from = { kind: 'place' as const, id: scene.room }
  const body = { wood, from, toHolderId: scene.crew, note: '' }
  const [id = ''] = await office.record([{ kind: 'wood.handed_over', body, occurredAt }])
  return id
}

async function accept(handoverId: string, lotId: string, count: number, occurredAt: Date) {
  const wood = { lotId, bundleId: null, unit: 'stick' as const, count }
  await office.record([{ kind: 'wood.accepted', body: { handoverId, wood, note: '' }, occurredAt }])
}

const auditOf = async (lotId: string) => {
  const page = await pageAt(office, `/custody/audit/${lotId}`)
  expect(htmlProblems(page)).toEqual([])
  return plainText(page)
}

describe('a handover', () => {
  it('that was never accepted is told after the policy’s hours, and not before', async () => {
    const { lotId } = await recordLot(office, scene, 'A-1')
    await handOver(lotId, 5, new Date(sceneNow.getTime() - 25 * 3_600_000))
    await handOver(lotId, 6, new Date(sceneNow.getTime() - 23 * 3_600_000))
    const words = await auditOf(lotId)
    expect(words).toMatch(/5 sticks never accepted/)
    expect(words).toMatch(/6 sticks nothing yet/)
    expect(words).toMatch(/within 24 hours/)
  })

  it('counted differently by the other side is told, and is a finding', async () => {
    const { lotId } = await recordLot(office, scene, 'A-2')
    const when = new Date(sceneNow.getTime() - 5 * 3_600_000)
    const id = await handOver(lotId, 8, when)
    await accept(id, lotId, 7, new Date(when.getTime() + 600_000))
    expect(await auditOf(lotId)).toMatch(/8 sticks counted 7, or other wood, by Tessa Arden/)
    const findings = plainText(await pageAt(office, '/findings'))
    expect(findings).toContain('Who took wood over counted something else')
  })

  it('accepted by the very person who gave it is not taken for the other side’s word', async () => {
    const { lotId } = await recordLot(office, scene, 'A-3')
    const when = new Date(sceneNow.getTime() - 5 * 3_600_000)
    await accept(await handOver(lotId, 8, when), lotId, 8, new Date(when.getTime() + 600_000))
    expect(await auditOf(lotId)).toMatch(/accepted by the person who gave it/)
  })
})

describe('a lot', () => {
  it('of which more went out than was there does not add up, and was in two places', async () => {
    const { lotId } = await recordLot(office, scene, 'B-1')
    await handOver(lotId, 900, new Date(sceneNow.getTime() - 3_600_000))
    const words = await auditOf(lotId)
    expect(words).toMatch(/Given out more than there was [1-9]\d+/)
    expect(words).toMatch(/In two places at once/)
    expect(words).toMatch(/buds went out more than there were/)
  })

  it('that came from an unknown place has a gap, with the way to the entry', async () => {
    const { lotId } = await recordLot(office, scene, 'B-2')
    const wood = { lotId, bundleId: null, unit: 'stick' as const, count: 4 }
    const from = { kind: 'unknown' as const, id: NIL_ID }
    const body = { wood, from, toHolderId: scene.crew, note: '' }
    await office.record([{ kind: 'wood.handed_over', body, occurredAt: at('09T07:00') }])
    expect(await auditOf(lotId)).toMatch(/came from nowhere told/)
  })

  it('stands in the list of its season, those with a question first, and in no other', async () => {
    await recordLot(office, scene, 'C-1')
    const page = await pageAt(office, '/custody/audit?season=2027')
    expect(htmlProblems(page)).toEqual([])
    const words = plainText(page)
    expect(words.indexOf('B-2')).toBeGreaterThan(0)
    expect(words.indexOf('B-2')).toBeLessThan(words.indexOf('C-1'))
    expect(words).toContain('Not known: whether a place was locked')
    expect(plainText(await pageAt(office, '/custody/audit?season=2024'))).toContain('No lot moved')
  })
})

describe('more buds set than were cut', () => {
  it('are a finding that goes away with a reason alone', async () => {
    const { lotId } = await recordLot(office, scene, 'D-1')
    const from = { kind: 'holder' as const, id: scene.crew }
    const grafts = [1, 2, 3, 4].map((position) => ({
      kind: 'graft.made' as const,
      body: {
        vine: { rowId: newId(), position },
        lotId,
        bundleId: null,
        from,
        method: 'chip bud' as const,
        budCount: 20,
        knifeId: null,
        tie: null,
        note: '',
      },
    }))
    const many = Array.from({ length: 25 }, () => grafts).flat()
    await office.record(many)
    const findingsPage = await pageAt(office, '/findings')
    expect(plainText(findingsPage)).toContain('More buds stand on vines than were ever cut')
    const { rows } = await sql<{ finding_key: string }>`
      select finding_key from finding_open where code = 'more_buds_set_than_cut'
        and facts ->> 'lot_id' = ${lotId}`.execute(office.services.db)
    const path = `/findings/${encodeURIComponent(rows[0]?.finding_key ?? '')}`
    await expectRefused(office, path, { answer: '  ' }, { answer: /say why/ })
    expect(plainText(await pageAt(office, '/findings'))).toContain('More buds stand on vines')
    await expectSaved(office, path, { answer: 'counted again: two bundles were not recorded' })
    expect(plainText(await pageAt(office, '/findings'))).not.toContain('More buds stand on vines')
  }, 60_000)
})

describe('labels', () => {
  it('are reckoned up print by print: printed less bound, spoiled and replaced', async () => {
    const codes = ['0000000001P', '00000000022', '0000000003F', '0000000004S', '0000000005A']
    const [first = '', second = '', third = '', fourth = ''] = codes
    const print = {
      printId: newId(),
      payload: 'field tag' as const,
      form: 'roll of small tags',
      codes,
      reprintReason: null,
    }
    const thing = { kind: 'place' as const, id: scene.room }
    await office.record([
      { kind: 'tag.printed', body: print },
      { kind: 'tag.bound', body: { code: first, thing } },
      { kind: 'tag.spoiled', body: { code: second, reason: 'torn' } },
      {
        kind: 'tag.replaced',
        body: { oldCode: first, newCode: third, thing, reason: 'unreadable' },
      },
      { kind: 'tag.spoiled', body: { code: fourth, reason: 'wet' } },
    ])
    const words = plainText(await pageAt(office, '/custody/audit?season=2027'))
    expect(words).toMatch(/field tag, roll of small tags 5 1 2 1 1/)
  })
})
