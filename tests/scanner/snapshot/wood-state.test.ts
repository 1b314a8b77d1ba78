// How warm wood lay, what looks at it showed and how dry the air is: the phone judges by the same.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readLotFacts } from '../../../api/lots/lot-facts.ts'
import { readPolicies } from '../../../api/nursery/read.ts'
import { judge } from '#trade/judge.ts'
import type { Judgement } from '#trade/judge.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import type { Fetched, Known } from '../../../scanner/snapshot/known.ts'
import { SnapshotModel } from '../../../scanner/snapshot/model.ts'
import type { OwnEntry } from '../../../scanner/snapshot-source.ts'
import { SmallSeason } from '../../lots/small-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'

const now = new Date('2027-02-03T08:00:00Z')
const season = new SmallSeason('wood state', '2026-12-01T08:00:00Z')
const id = (name: string) => season.id(name)
const lots = ['sound', 'low', 'dry', 'unseen', 'part', 'mixed', 'out', 'wet', 'cellar']
const nothingUsed = { bundleId: null, used: null, note: '' }
let api: DeviceApp
let first: Known

const buds = (lot: string, liveCount: number) => ({
  ...{ lotId: id(lot), ...nothingUsed, method: 'cut bud' as const },
  ...{ sampledCount: 30, liveCount, forcedDays: null },
})
const moisture = (lot: string, freshGrams: number, dryGrams: number) => ({
  ...{ lotId: id(lot), ...nothingUsed },
  measured: { by: 'oven' as const, freshGrams, dryGrams },
})

async function get(target: string): Promise<string> {
  const answer = await api.get(target)
  const text = await answer.text()
  if (answer.status !== 200) throw new Error(`${answer.status} ${text}`)
  return text
}

function laidIn(before: Known | null, fetched: Fetched): Known {
  const known = withFetched(before, fetched)
  if (known === null) throw new Error('the answer could not be used')
  return known
}

const whole = async () => laidIn(null, await fetchSnapshot(get, null))
/** Only what changed since a snapshot, and what it then makes. */
async function changes(since: Known): Promise<{ told: string[]; known: Known }> {
  const fetched = await fetchSnapshot(get, since)
  expect(fetched.snapshot.whole).toBe(false)
  const told = fetched.snapshot.lots.map(({ lotId }) => lotId)
  return { told: lots.filter((lot) => told.includes(id(lot))), known: laidIn(since, fetched) }
}

const pieces = ({ head, lots: ofLots }: Known) => ({
  head,
  lots: [...ofLots].sort(([one], [other]) => (one < other ? -1 : 1)),
})

async function ofServer(lot: string, at = now): Promise<Judgement> {
  const { db } = api.services
  const facts = (await readLotFacts(db, [id(lot)], at)).get(id(lot))
  if (facts === undefined) throw new Error(`${lot} is not there`)
  const { policies } = await readPolicies(db, at)
  return judge({ ...facts, snapshotAt: now.getTime() }, policies, at.getTime())
}

const ofPhone = (known: Known, lot: string, own: OwnEntry[] = []) =>
  new SnapshotModel(known, own).judge(id(lot), null, now.getTime())
const codesOf = (judged: Judgement | null) => (judged?.reasons ?? []).map(({ code }) => code)

/** One a quarter of an hour through the last four days: 14 °C, far too warm for wood. */
function warmDay(day: number) {
  const seconds = Array.from({ length: 96 }, (_, nr) => nr * 900)
  const startAt = new Date(now.getTime() - (5 - day) * MS_PER_DAY).toISOString()
  const read = { seconds, centiC: seconds.map(() => 1400), humidityTenths: null, leftOut: 0 }
  return { kind: 'temperature.logged' as const, body: { loggerId: id('logger'), startAt, ...read } }
}

const loggerIn = (place: string) => ({
  kind: 'logger.registered' as const,
  body: {
    ...{ loggerId: id('logger'), name: 'logger', serial: null, placeId: id(place), note: '' },
    fromAt: '2026-12-01T00:00:00Z',
  },
})

beforeAll(async () => {
  api = await deviceApp(now)
  season.source('source')
  season.place('room')
  season.place('cellar room')
  season.place('tank', { placeKind: 'tank', cooled: false })
  season.place('bench', { placeKind: 'bench', cooled: false })
  const cellar = { kind: 'place' as const, id: id('cellar room') }
  for (const lot of lots) {
    if (lot === 'part' || lot === 'mixed') continue
    season.cut(lot, lot === 'cellar' ? { to: cellar } : {})
  }
  season.add('check.viability', buds('sound', 30))
  season.wait(24 * 61)
  season.bath('bath')
  season.soak('out', 100, 'bath')
  season.soak('wet', 100, 'bath')
  season.wait(24)
  season.add('soak.ended', {
    ...{ wood: season.sticks('out', 100), bathId: id('bath') },
    to: { kind: 'place', id: id('bench') },
  })
  season.wait(10)
  season.add('check.viability', buds('low', 9))
  season.add('check.moisture', moisture('dry', 100, 76))
  season.split('low', 'part')
  season.combine('mixed', ['dry', 'sound'])
  await api.push(season.entries, await api.enrol(season.entries[0]?.device))
  const policy = { key: 'viabilityCheckDays', value: 30, source: 'tried here' }
  await api.record([{ kind: 'policy.set', body: { ...policy, effectiveFrom: '2027-01-01' } }])
  first = await whole()
})
afterAll(() => api.drop())

describe('what a phone is sent again', () => {
  it('is wood that was looked at, and what was parted from it or made of it', async () => {
    await api.record([
      { kind: 'check.viability', body: buds('low', 8) },
      { kind: 'check.moisture', body: moisture('dry', 100, 78) },
    ])
    const { told, known } = await changes(first)
    expect(told).toEqual(expect.arrayContaining(['low', 'part', 'dry', 'mixed']))
    expect(told).not.toContain('unseen')
    expect(pieces(known)).toEqual(pieces(await whole()))
  })

  it('is all wood that lay or lies in water where a logger was put or read', async () => {
    const before = await whole()
    await api.record([loggerIn('room')])
    const moved = await changes(before)
    expect(moved.told).toEqual(lots.filter((lot) => lot !== 'cellar'))
    expect(pieces(moved.known)).toEqual(pieces(await whole()))
    await api.record([1, 2, 3, 4].map(warmDay))
    const warmed = await changes(moved.known)
    expect(warmed.told).toEqual(lots.filter((lot) => lot !== 'cellar'))
    expect(pieces(warmed.known)).toEqual(pieces(await whole()))
    await api.record([
      { ...loggerIn('tank'), body: { ...loggerIn('tank').body, loggerId: id('tank logger') } },
    ])
    const { told, known } = await changes(warmed.known)
    expect(told).toEqual(expect.arrayContaining(['out', 'wet']))
    expect(told).not.toContain('unseen')
    expect(pieces(known)).toEqual(pieces(await whole()))
  })

  it('is no lot when only the weather was read, but the air', async () => {
    const before = await whole()
    const at = (hours: number) => new Date(now.getTime() - hours * MS_PER_HOUR).toISOString()
    const air = (hours: number, tempC: number, humidityPercent: number) => {
      return { at: at(hours), tempC, humidityPercent, windMetresPerSecond: null }
    }
    const readings = [air(20, 21, 30), air(16, 31, 15), air(9, 12, 80), air(2, 24, 40)]
    const body = { placeId: null, site: 'yard', readings }
    await api.record([{ kind: 'weather.logged', body }])
    const { told, known } = await changes(before)
    expect(told).toEqual([])
    expect(known.head.weather.readings.map(([, tempC]) => tempC)).toEqual([31, 24])
    expect(pieces(known)).toEqual(pieces(await whole()))
  })

  it('is wood that was treated', async () => {
    const before = await whole()
    const dip = { treatment: 'disinfectant dip' as const, product: 'peroxide', minutes: 5 }
    const body = { treated: [season.sticks('sound', 10)], bathId: null, placeId: null, note: '' }
    const done = { ...dip, concentration: null, dose: null }
    await api.record([{ kind: 'treatment.done', body: { ...body, done } }])
    const { told, known } = await changes(before)
    expect(told).toContain('sound')
    expect(pieces(known)).toEqual(pieces(await whole()))
  })
})

describe('judgement on the phone after all of that', () => {
  const expected: Record<string, string[]> = {
    sound: ['check.old', 'check.good', 'storage.warm'],
    low: ['check.too_low', 'storage.warm'],
    dry: ['check.too_dry', 'check.never'],
    unseen: ['check.never', 'storage.warm'],
    part: ['check.too_low', 'storage.warm'],
    mixed: ['check.too_dry', 'check.never'],
    out: ['soak.out_too_long'],
    wet: ['soak.too_long'],
    cellar: ['storage.no_readings'],
  }
  it.each(lots)('of %s is the server’s, reason by reason', async (lot) => {
    const judged = ofPhone(await whole(), lot)
    expect(judged).toEqual(await ofServer(lot))
    expect(codesOf(judged)).toEqual(expect.arrayContaining(expected[lot] ?? []))
  })

  it('lets the dry air of a day pass as the day does', async () => {
    const at = new Date(now.getTime() + 10 * MS_PER_HOUR)
    const phone = new SnapshotModel(await whole(), [])
    const vpd = (judged: Judgement | null) =>
      judged?.reasons.flatMap((reason) => ('vpdKPa' in reason.facts ? reason.facts.vpdKPa : []))
    const later = phone.judge(id('out'), null, at.getTime())
    expect(vpd(later)).toEqual(vpd(await ofServer('out', at)))
    expect(vpd(later)).not.toEqual(vpd(phone.judge(id('out'), null, now.getTime())))
  })

  it('counts looks that this phone wrote down just now, until it takes them back', async () => {
    const known = await whole()
    const own = new SmallSeason('wood state own', now.toISOString())
    const look = own.add('check.viability', buds('unseen', 3))
    const weighed = own.add('check.moisture', moisture('unseen', 100, 75))
    const queued = [look, weighed].map((entry) => ({ ...entry, journalIndex: null }) as OwnEntry)
    const codes = codesOf(ofPhone(known, 'unseen', queued))
    expect(codes).toEqual(expect.arrayContaining(['check.too_low', 'check.too_dry']))
    expect(codes).not.toContain('check.never')
    const undone = { ...own.withdraw(look), journalIndex: null } as OwnEntry
    const after = codesOf(ofPhone(known, 'unseen', [...queued, undone]))
    expect(after).toEqual(expect.arrayContaining(['check.never', 'check.too_dry']))
    await api.push([look, weighed], await api.enrol(look.device))
    expect(ofPhone(await whole(), 'unseen')).toEqual(ofPhone(known, 'unseen', queued))
  })
})
