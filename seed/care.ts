// The demo's care of stored wood: buds and moisture looked at, hot water, the weather in spring.
import { at, daysLater, minuteMs } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import { crews, idOf } from './setting.ts'
import type { StoredBundle, Stores } from './winter.ts'

/** A lot in store before the spring's work, and whether the warm week caught it. */
export type LotInStore = { lotId: string; source: string; warmed: boolean; bundles: StoredBundle[] }

/** The lots in store, to be asked for before the spring takes bundles away. */
export function lotsInStore(stores: Stores): LotInStore[] {
  const lots = new Map<string, LotInStore>()
  for (const [source, bundles] of stores) {
    for (const bundle of bundles) {
      const { lotId, warmed } = bundle
      const lot = lots.get(lotId) ?? { lotId, source, warmed, bundles: [] }
      lots.set(lotId, { ...lot, warmed: lot.warmed || warmed, bundles: [...lot.bundles, bundle] })
    }
  }
  return [...lots.values()]
}

/** The nursery soaks overnight, by its own trials. */
export function soakOvernight(writer: DemoWriter, year: number): void {
  const time = at(year, 1, 3, 9)
  for (const [key, value] of [
    ['soakMinHours', 8],
    ['soakMaxHours', 16],
  ] as const) {
    const effectiveFrom = new Date(time).toISOString().slice(0, 10)
    const body = { key, value, source: 'own trials over three springs', effectiveFrom }
    writer.add('policy.set', time, 'office', body)
  }
}

/** Everything that is looked at and done between the warm week and the end of grafting. */
export function careForWood(writer: DemoWriter, lots: readonly LotInStore[], year: number): void {
  lots.forEach((lot, nr) => lookAtBuds(writer, lot, at(year, 3, 12, 8 + nr * 0.3)))
  const dry = lots.filter(({ source }) => source === 'mill').at(-1)
  if (dry !== undefined) findDry(writer, dry, at(year, 3, 16, 10))
  const bought = lots.filter(({ source }) => source === 'top').at(-1)
  if (bought !== undefined) treatHot(writer, bought, at(year, 2, 13, 9))
  for (let week = 0; week < 5; week += 1) readWeather(writer, at(year, 4, 1, 0), week)
}

function lookAtBuds(writer: DemoWriter, lot: LotInStore, time: number): void {
  if (lot.source === 'stock') return
  const sampledCount = lot.warmed ? 50 : 100
  const liveCount = lot.warmed ? writer.chance.whole(36, 39) : writer.chance.whole(91, 98)
  writer.add('check.viability', time, 'store', {
    lotId: lot.lotId,
    bundleId: null,
    used: null,
    method: 'cut bud',
    sampledCount,
    liveCount,
    forcedDays: null,
    note: lot.warmed ? 'brown centres after the warm week' : '',
  })
}

/** The lot nearest the fan has dried. */
function findDry(writer: DemoWriter, lot: LotInStore, time: number): void {
  writer.add('check.moisture', time, 'store', {
    lotId: lot.lotId,
    bundleId: null,
    used: null,
    measured: { by: 'oven', freshGrams: 412.5, dryGrams: 281.2 },
    note: 'ten sticks from the rack below the fan; bark wrinkled',
  })
}

/** Wood bought in goes through hot water before it lies with the rest. */
function treatHot(writer: DemoWriter, lot: LotInStore, time: number): void {
  const readings = Array.from({ length: 49 }, (_, minute) => ({
    minute,
    tempC: minute < 3 ? 44 + 2 * minute : 50 + writer.chance.whole(0, 2) / 10,
  }))
  writer.add('treatment.done', time, 'store', {
    treated: lot.bundles.map(({ lotId, bundleId, sticks }) => ({
      ...{ lotId, bundleId, unit: 'stick' as const, count: sticks },
    })),
    bathId: null,
    placeId: idOf('place tank east'),
    done: {
      treatment: 'hot water',
      purposes: ['phylloxera', 'flavescence dorée', 'crown gall (Agrobacterium vitis)'],
      run: { by: 'curve', readings },
    },
    note: '',
  })
}

/** Three readings a day at the shed, sent once a week. */
function readWeather(writer: DemoWriter, firstDay: number, week: number): void {
  const readings = Array.from({ length: 21 }, (_, nr) => {
    const day = week * 7 + Math.floor(nr / 3)
    const hour = [7, 14, 20][nr % 3] ?? 7
    const warmth = nr % 3 === 1 ? 17 : 9
    return {
      at: new Date(daysLater(firstDay, day) + hour * 3_600_000).toISOString(),
      tempC: warmth + writer.chance.whole(0, 60) / 10,
      humidityPercent: (nr % 3 === 1 ? 45 : 72) + writer.chance.whole(0, 15),
      windMetresPerSecond: writer.chance.whole(0, 50) / 10,
    }
  })
  const time = daysLater(firstDay, week * 7 + 6) + 21 * 3_600_000
  writer.add('weather.logged', time, 'store', { placeId: null, site: 'by the shed', readings })
}

/** Crews say that they have the wood they were given; now and then one forgets to. */
export function acceptHandovers(writer: DemoWriter): void {
  for (const [nr, { id, occurredAt, body }] of writer.told('wood.handed_over').entries()) {
    const crew = crews.find(({ key }) => idOf(`party ${key}`) === body.toHolderId)
    if (crew === undefined || nr % 60 === 31) continue
    const at = Date.parse(occurredAt) + 8 * minuteMs
    writer.add('wood.accepted', at, crew.key, { handoverId: id, wood: body.wood, note: '' })
  }
}

/** Crews disinfect the knife before they go on with another lot; now and then one forgets to. */
export function disinfectBetweenLots(writer: DemoWriter): void {
  const cuts = writer.told('graft.made')
  cuts.sort((one, other) => Date.parse(one.occurredAt) - Date.parse(other.occurredAt))
  const lastLot = new Map<string, string>()
  let changes = 0
  for (const { person, occurredAt, body } of cuts) {
    const crew = crews.find(({ key }) => idOf(`person ${key}`) === person)
    const { knifeId, lotId } = body
    if (crew === undefined || knifeId === null) continue
    const before = lastLot.get(knifeId)
    lastLot.set(knifeId, lotId)
    if (before === lotId) continue
    changes += 1
    if (changes % 25 === 0) continue
    const at = Date.parse(occurredAt) - minuteMs / 2
    const disinfectant = 'spirit, 70 %'
    writer.add('tool.disinfected', at, crew.key, { knifeId, disinfectant, vine: null, note: '' })
  }
}
