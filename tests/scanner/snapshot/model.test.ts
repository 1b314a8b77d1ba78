// What the screens read and judge by from a snapshot is what the server reads and judges by.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readLotFacts } from '../../../api/lots/lot-facts.ts'
import { readPolicies } from '../../../api/nursery/read.ts'
import { judge } from '#trade/judge.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import { makeTagCode } from '#trade/tag-code.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import { SnapshotModel } from '../../../scanner/snapshot/model.ts'
import { crews } from '../../../scanner/jobs/held.ts'
import type { OwnEntry } from '../../../scanner/snapshot-source.ts'
import { SmallSeason } from '../../lots/small-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'

const now = new Date('2027-02-03T08:00:00Z')
const season = new SmallSeason('model', '2027-01-20T08:00:00Z')
const id = (name: string) => season.id(name)
const code = makeTagCode(() => Uint8Array.from([1, 17, 99, 3, 5, 250, 7]))
let api: DeviceApp

beforeAll(async () => {
  api = await deviceApp(now)
  const { db } = api.services
  season.source('source')
  season.place('room')
  season.place('tank', { placeKind: 'tank', cooled: false })
  const names = { variety: 'Bellmere', 'other variety': 'Corvane' }
  for (const [name, shown] of Object.entries(names)) {
    const use = 'scion' as const
    season.add('variety.registered', { varietyId: id(name), name: shown, synonyms: [], use })
  }
  const party = { partyId: id('crew'), name: 'North crew', role: 'crew', registrationNumber: null }
  season.add('party.registered', { ...party, role: 'crew', note: '' })
  const firm = { ...party, partyId: id('firm'), name: 'A supplier of wood' }
  season.add('party.registered', { ...firm, role: 'supplier', note: '' })
  season.add('block.registered', { blockId: id('block'), name: 'Upper', note: '' })
  for (const name of ['row', 'other row']) season.row(name, { positionCount: 30, missing: [4] })
  for (const [row, variety] of [
    ['row', 'variety'],
    ['other row', 'other variety'],
  ] as const) {
    const stretch = { fromPosition: 1, toPosition: 30, season: 2027, budsPerVine: 2 }
    const wanted = { varietyId: id(variety), clone: null, class: 'certified', method: 'chip bud' }
    season.add('row.planned', { rowId: id(row), ...stretch, ...wanted })
  }
  season.bath('bath')
  for (const lot of ['lot', 'held', 'wet']) season.cut(lot)
  season.add('tag.bound', { code, thing: { kind: 'lot', id: id('lot') } })
  season.wait(24)
  season.soak('lot', 100, 'bath')
  season.soak('wet', 40, 'bath')
  season.wait(30)
  season.liftOut('lot', 100, 'bath')
  season.handOver('lot', 40)
  season.hold('lot', 'held', null)
  season.graft('lot', 2)
  await api.push(season.entries, await api.enrol(season.entries[0]?.device))
  const policy = { key: 'soakMaxHours', value: 29, source: 'tried here' }
  await api.record([{ kind: 'policy.set', body: { ...policy, effectiveFrom: '2027-01-01' } }])
  expect(await db.selectFrom('lot').select('lot_id').execute()).toHaveLength(3)
})
afterAll(() => api.drop())

async function model(own: OwnEntry[] = []): Promise<SnapshotModel> {
  const get = async (target: string) => (await api.get(target)).text()
  const known = withFetched(null, await fetchSnapshot(get, null))
  if (known === null) throw new Error('the answer could not be used')
  return new SnapshotModel(known, own)
}

describe('judgement on the phone', () => {
  it.each([
    ['lot', null],
    ['lot', 'row'],
    ['lot', 'other row'],
    ['held', 'row'],
    ['wet', null],
  ])('of %s for row %s is the server’s, reason by reason', async (lot, row) => {
    const { db } = api.services
    const at = new Date(now.getTime() + 3 * MS_PER_HOUR)
    const question = row === null ? {} : { row: { rowId: id(row), position: null } }
    const facts = (await readLotFacts(db, [id(lot)], at, question)).get(id(lot))
    if (facts === undefined) throw new Error(`${lot} is not there`)
    const { policies } = await readPolicies(db, at)
    const phone = await model()
    const rowId = row === null ? null : id(row)
    const expected = judge({ ...facts, snapshotAt: now.getTime() }, policies, at.getTime())
    expect(phone.judge(id(lot), rowId, at.getTime())).toEqual(expected)
    expect(phone.policies.soakMaxHours.value).toBe(29)
  })

  it('says how old the records are once they are too old', async () => {
    const phone = await model()
    const hours = phone.policies.snapshotStaleHours.value + 1
    const old = phone.judge(id('lot'), null, now.getTime() + hours * MS_PER_HOUR)
    expect(old?.reasons.map((reason) => reason.code)).toContain('snapshot.stale')
    const codes = phone.judge(id('lot'), null, now.getTime())?.reasons.map((one) => one.code)
    expect(codes).not.toContain('snapshot.stale')
  })

  it('stops for a hold that this phone placed a moment ago (invariant 8)', async () => {
    const phone = await model()
    const hold = new SmallSeason('model own', now.toISOString())
    const body = { holdId: hold.id('hold'), agent: null, reason: 'mould' }
    const on = { kind: 'source' as const, id: id('source') }
    phone.add({ ...hold.add('hold.placed', { ...body, on }), journalIndex: null } as OwnEntry)
    const judged = phone.judge(id('lot'), null, now.getTime())
    expect(judged?.verdict).toBe('stop')
    expect(judged?.reasons[0]?.code).toBe('hold.source')
  })
})

describe('what is looked up', () => {
  it('offers crews as holders of wood, and no firm that only supplies it', async () => {
    const phone = await model()
    expect(phone.parties).toHaveLength(2)
    expect(crews(phone).map(({ name }) => name)).toEqual(['North crew'])
  })

  it('is named, and found by its code', async () => {
    const phone = await model()
    expect(phone.find(code)).toMatchObject({ what: 'thing', thing: { kind: 'lot', id: id('lot') } })
    expect(phone.codeOf({ kind: 'lot', id: id('lot') })).toBe(code)
    expect(phone.lots().map(({ reference }) => reference)).toEqual(['held', 'lot', 'wet'])
    expect(phone.lot(id('lot'))).toMatchObject({ varietyName: 'Bellmere', budsPerStick: 6 })
    const names = ['crew', 'room', 'source', 'lot', 'variety', 'row'].map((name) => {
      return phone.nameOf(id(name))
    })
    expect(names).toEqual(['North crew', 'room', 'source', 'lot', 'Bellmere', 'Upper row'])
    expect(phone.blocks()).toEqual([{ id: id('block'), name: 'Upper' }])
    expect(phone.plans(id('row'))).toMatchObject([{ varietyName: 'Bellmere', season: 2027 }])
    expect(phone.baths()).toMatchObject([{ id: id('bath'), name: 'tank', emptied: false }])
    expect(phone.methods[0]).toBe('chip bud')
  })

  it('holds what this phone did since: a graft, its tie, a look, and its undoing', async () => {
    const phone = await model()
    const stock = () => phone.lot(id('lot'))?.facts.left
    const own = new SmallSeason('model later', now.toISOString())
    const add = (entry: object) => phone.add({ ...entry, journalIndex: null } as OwnEntry)
    const vine = { rowId: id('row'), position: 7 }
    const before = stock()
    const from = { kind: 'holder' as const, id: id('crew') }
    const graft = own.graft('lot', 7, { vine, lotId: id('lot'), from, budCount: 6 })
    add(graft)
    expect(stock()).toEqual({ sticks: (before?.sticks ?? 0) - 1, buds: before?.buds })
    expect(phone.vines(id('row'))[6]?.grafts).toMatchObject([{ graftId: graft.id, budCount: 6 }])
    add(own.add('tie.released', { vine, graftId: null, note: '' }))
    const results = [{ graftId: graft.id, growing: 1, callused: 0, failed: 0 }]
    add(own.add('take.checked', { vine, results, shootLengthMm: null, note: '' }))
    expect(phone.vines(id('row'))[6]?.grafts[0]).toMatchObject({ tieReleased: true })
    expect(phone.vines(id('row'))[6]?.grafts[0]?.takeCheckedAt).not.toBeNull()
    const undone = own.withdraw(graft)
    const again = await model(
      [graft, undone].map((entry) => ({ ...entry, journalIndex: null }) as OwnEntry),
    )
    expect(again.vines(id('row'))[6]?.grafts).toEqual([])
    expect(again.lot(id('lot'))?.facts.left).toEqual(before)
  })
})
