// A bundle in somebody's hand is judged by where it lay itself, on the phone as in the office.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { judgePieces } from '../../../api/lots/judge-lots.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import { SnapshotModel } from '../../../scanner/snapshot/model.ts'
import type { OwnEntry } from '../../../scanner/snapshot-source.ts'
import { SmallSeason } from '../../lots/small-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'

const season = new SmallSeason('wood at hand', '2027-01-20T08:00:00Z')
const id = (name: string) => season.id(name)
const room: AccountShape = { kind: 'place', id: id('room') }
const crew: AccountShape = { kind: 'holder', id: id('crew') }
let api: DeviceApp

/** All wood is soaked for 30 hours, put back into the cold, and some of it taken out of it. */
function writeSeason(): void {
  season.source('source')
  season.place('room')
  season.place('tank', { placeKind: 'tank', cooled: false })
  season.bath('bath')
  const bundles = ['out', 'in', 'parted'].map((name) => {
    return { bundleId: id(name), unit: 'stick' as const, count: 20 }
  })
  season.cut('lot', { bundles })
  season.wait(24)
  const all = [null, 'out', 'in', 'parted'].map((bundle) => {
    return season.sticks('lot', bundle === null ? 40 : 20, bundle)
  })
  for (const wood of all) season.add('soak.began', { wood, from: room, bathId: id('bath') })
  season.wait(30)
  for (const wood of all) season.add('soak.ended', { wood, bathId: id('bath'), to: room })
  season.handOver('lot', 20, 'out')
  season.handOver('lot', 5, 'parted')
}

beforeAll(async () => {
  writeSeason()
  api = await deviceApp(new Date(at()))
  await api.push(season.entries, await api.enrol(season.entries[0]?.device))
})
afterAll(() => api.drop())

async function model(own: OwnEntry[] = []): Promise<SnapshotModel> {
  const get = async (target: string) => (await api.get(target)).text()
  const known = withFetched(null, await fetchSnapshot(get, null))
  if (known === null) throw new Error('the answer could not be used')
  return new SnapshotModel(known, own)
}

/** 30 hours after the wood was given out. */
const at = () => Date.parse(season.entries.at(-1)?.occurredAt ?? '') + 30 * MS_PER_HOUR
const codesOf = (judged: { reasons: readonly { code: string }[] } | null) =>
  judged?.reasons.map(({ code }) => code) ?? []

describe('wood out of water for 30 hours while the rest of its lot lies in the cold', () => {
  it.each([
    ['a bundle in a hand', 'out', crew, 'caution'],
    ['a bundle in the cold', 'in', room, 'ready'],
    ['the loose rest', null, room, 'ready'],
    ['the part of a bundle in a hand', 'parted', crew, 'caution'],
    ['the part of a bundle in the cold', 'parted', room, 'ready'],
  ] as const)(
    '%s is judged alike on the phone and in the office',
    async (_, name, account, word) => {
      const wood = { lotId: id('lot'), bundleId: name === null ? null : id(name), account }
      const [office] = await judgePieces(api.services.db, [wood], new Date(at()))
      const phone = (await model()).judgeWood(wood, null, at())
      expect([office?.verdict, phone?.verdict]).toEqual([word, word])
      expect(codesOf(phone)).toEqual(codesOf(office ?? null))
      expect(codesOf(phone).includes('soak.out_long')).toBe(word === 'caution')
    },
  )

  it('does not pass for cooled when only the tag of its bundle was read', async () => {
    const phone = await model()
    const judged = (name: string) =>
      phone.judgeWood({ lotId: id('lot'), bundleId: id(name) }, null, at())
    expect(codesOf(judged('out'))).toContain('soak.out_long')
    expect(codesOf(judged('parted'))).toContain('soak.out_long')
    expect(judged('in')?.verdict).toBe('ready')
    expect(phone.judge(id('lot'), null, at())?.verdict).toBe('ready')
  })

  it('is told of by a handover that only this phone knows of yet', async () => {
    const own = new SmallSeason('own handover', new Date(at() - 25 * MS_PER_HOUR).toISOString())
    const given = own.add('wood.handed_over', {
      ...{ wood: season.sticks('lot', 20, 'in'), from: room, toHolderId: crew.id, note: '' },
    })
    const phone = await model([{ ...given, journalIndex: null } as OwnEntry])
    const judged = phone.judgeWood({ lotId: id('lot'), bundleId: id('in') }, null, at())
    expect(codesOf(judged)).toContain('soak.out_long')
  })

  it.each([
    ['the person’s own', undefined],
    ['the crew’s, as the symbol said', crew.id],
  ])('is told of by taking it over offline, into hands that are %s', async (_, holderId) => {
    const own = new SmallSeason('taken over', new Date(at() - 25 * MS_PER_HOUR).toISOString())
    const handoverId = own.id('a handover that the giver did not send yet')
    const wood = season.sticks('lot', 20, 'in')
    const entry = own.add('wood.accepted', { handoverId, wood, note: '' })
    const taken = { ...entry, ...(holderId === undefined ? {} : { holderId }), journalIndex: null }
    const hand = { kind: 'holder', id: holderId ?? entry.person }
    const phone = await model([taken as OwnEntry])
    const stock = phone.lot(id('lot'))?.stock.filter((one) => one.bundleId === id('in'))
    expect(stock).toEqual([{ account: hand, bundleId: id('in'), sticks: 20, buds: 0 }])
    expect(
      codesOf(phone.judgeWood({ lotId: id('lot'), bundleId: id('in') }, null, at())),
    ).toContain('soak.out_long')
    const before = await model()
    before.add(taken as OwnEntry)
    expect(before.lot(id('lot'))?.stock).toEqual(phone.lot(id('lot'))?.stock)
  })

  it('is not moved again by taking it over when the handover is known', async () => {
    const given = season.entries.filter(({ kind }) => kind === 'wood.handed_over')
    const own = new SmallSeason('taken and known', new Date(at()).toISOString())
    const accepted = given.map((entry) => {
      const wood = 'wood' in entry.body ? entry.body.wood : null
      if (wood === null || Array.isArray(wood)) throw new Error('a handover names its wood')
      return own.add('wood.accepted', { handoverId: entry.id, wood, note: '' })
    })
    const queued = accepted.map((entry) => ({ ...entry, journalIndex: null }) as OwnEntry)
    expect(accepted).toHaveLength(2)
    expect((await model(queued)).lot(id('lot'))?.stock).toEqual(
      (await model()).lot(id('lot'))?.stock,
    )
  })

  it('counts what is left of that wood alone', async () => {
    const wood = { lotId: id('lot'), bundleId: id('out'), account: room }
    const [office] = await judgePieces(api.services.db, [wood], new Date(at()))
    const phone = (await model()).judgeWood(wood, null, at())
    expect(codesOf(office ?? null)).toContain('stock.nothing_left')
    expect(codesOf(phone)).toContain('stock.nothing_left')
  })
})

it('wood of a lot that nobody made is not known, whatever bundle it is', async () => {
  const wood = { lotId: NIL_ID, bundleId: id('out'), account: crew }
  expect(codesOf((await model()).judgeWood(wood, null, at()))).toEqual(['lot.unknown'])
  expect(await judgePieces(api.services.db, [wood], new Date(at()))).toEqual([null])
})
