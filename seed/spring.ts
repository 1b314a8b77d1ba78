// The demo's springs: bundles soaked and handed to crews, rows grafted vine by vine, take counted.
import { at, daysLater, minuteMs } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import type { DemoRow } from './ground.ts'
import type { StoredBundle, Stores } from './winter.ts'
import { budsPerStick, crews, idOf, scions, sources } from './setting.ts'
import type { CrewKey, ScionKey, SourceKey } from './setting.ts'

/** A vine that was grafted, for the count of take and for grafting again. */
export type GraftedVine = {
  row: DemoRow
  position: number
  source: SourceKey
  growing: number
}

/** One row's work: which positions, with wood of which source. */
type Task = { row: DemoRow; positions: number[]; source: SourceKey }

type Day = { crew: CrewKey; morning: number; weak: boolean }
type Opened = { bundle: StoredBundle; budsLeft: number; budsHad: number }

const rowsPerDay = 2
const budsPerVine = 2
/** The day of the second spring on which Crew Finch worked badly. */
const weakDay = 5
const skipReasons = ['trunk too thin', 'dead arm', 'already pushing'] as const

/** Works one spring and returns every vine grafted. `again` are vines to graft once more. */
export function workSpring(
  writer: DemoWriter,
  stores: Stores,
  rows: DemoRow[],
  season: 0 | 1,
  year: number,
  again: GraftedVine[],
): GraftedVine[] {
  plan(writer, rows, season, year)
  const tasks = [...plannedTasks(rows, season), ...tasksAgain(again)]
  const grafted: GraftedVine[] = []
  for (let first = 0, day = 0; first < tasks.length; first += rowsPerDay * crews.length, day += 1) {
    crews.forEach(({ key }, nr) => {
      const start = first + nr * rowsPerDay
      const today = tasks.slice(start, start + rowsPerDay)
      const weak = season === 1 && day === weakDay && key === 'finch'
      const morning = at(year, 4, 6 + day + Math.floor(day / 5) * 2, 6.5 + nr * 0.1)
      if (today.length > 0) {
        grafted.push(...workDay(writer, stores, today, { crew: key, morning, weak }))
      }
    })
  }
  return grafted
}

function plan(writer: DemoWriter, rows: DemoRow[], season: 0 | 1, year: number): void {
  for (const row of rows) {
    const source = sourceFor(row, season)
    if (source === null) continue
    writer.add('row.planned', at(year - 1, 12, 12, 9), 'office', {
      rowId: row.rowId,
      fromPosition: 1,
      toPosition: row.positionCount,
      season: year,
      varietyId: idOf(`variety ${source.variety}`),
      clone: source.clone,
      class: null,
      method: 'chip bud',
      budsPerVine,
    })
  }
}

function sourceFor(row: DemoRow, season: 0 | 1) {
  const nr = Number(row.label)
  const found = row.block.plans.find(
    (candidate) => candidate.season === season && candidate.fromRow <= nr && nr <= candidate.toRow,
  )
  return sources.find((source) => source.key === found?.source) ?? null
}

function plannedTasks(rows: DemoRow[], season: 0 | 1): Task[] {
  return rows.flatMap((row) => {
    const source = sourceFor(row, season)
    if (source === null) return []
    const positions = Array.from({ length: row.positionCount }, (_, nr) => nr + 1)
    const vines = positions.filter((position) => !row.missing.includes(position))
    return [{ row, positions: vines, source: source.key }]
  })
}

function tasksAgain(again: GraftedVine[]): Task[] {
  const byRow = new Map<string, Task>()
  for (const { row, position, source } of again) {
    const task = byRow.get(row.rowId) ?? { row, positions: [], source }
    task.positions.push(position)
    byRow.set(row.rowId, task)
  }
  return [...byRow.values()]
}

/** One crew's day: its wood soaked overnight, handed over, set, and what is left thrown away. */
function workDay(writer: DemoWriter, stores: Stores, tasks: Task[], day: Day): GraftedVine[] {
  const grafted: GraftedVine[] = []
  let minute = day.morning + 30 * minuteMs
  const opened = new Map<SourceKey, Opened>()
  for (const { row, positions, source } of tasks) {
    for (const position of positions) {
      minute += minuteMs
      const vine = { rowId: row.rowId, position }
      if (writer.chance.happens(0.02)) {
        const reason = writer.chance.pick(skipReasons)
        writer.add('vine.skipped', minute, day.crew, { vine, reason })
        continue
      }
      const from = open(writer, stores, source, day, opened)
      if (from === null) return grafted
      from.budsLeft -= budsPerVine
      const graft = writer.add('graft.made', minute, day.crew, {
        vine,
        lotId: from.bundle.lotId,
        bundleId: from.bundle.bundleId,
        from: { kind: 'holder', id: idOf(`party ${day.crew}`) },
        method: 'chip bud',
        budCount: budsPerVine,
        knifeId: idOf(`knife ${day.crew}`),
        tie: 'budding tape',
        note: '',
      })
      const growing = lookLater(writer, graft.id, vine, minute, { source, from, day })
      grafted.push({ row, position, source, growing })
    }
  }
  for (const { bundle, budsLeft } of opened.values()) leftOver(writer, bundle, budsLeft, day)
  return grafted
}

/** The bundle that a crew works from; a new one is fetched, soaked and handed over when needed. */
function open(
  writer: DemoWriter,
  stores: Stores,
  source: SourceKey,
  day: Day,
  opened: Map<SourceKey, Opened>,
): Opened | null {
  const before = opened.get(source)
  if (before !== undefined && before.budsLeft >= budsPerVine) return before
  const bundle = stores.get(source)?.shift()
  if (bundle === undefined) return null
  const sticks = bundleSticks(bundle)
  const wood = {
    lotId: bundle.lotId,
    bundleId: bundle.bundleId,
    unit: 'stick',
    count: sticks,
  } as const
  const evening = daysLater(day.morning, -0.6)
  const bathId = idOf(`bath ${day.crew} ${day.morning}`)
  if (opened.size === 0) {
    writer.add('bath.filled', evening - 30 * minuteMs, 'store', {
      bathId,
      placeId: idOf(`place ${tankOf[day.crew]}`),
      water: 'well',
      waterTempC: 11 + writer.chance.whole(0, 6) / 2,
      disinfectant: null,
      litres: 400,
    })
    writer.add('bath.emptied', day.morning, 'store', { bathId })
  }
  const store = { kind: 'place', id: bundle.placeId } as const
  const truck = { kind: 'place', id: idOf('place truck') } as const
  writer.add('soak.began', evening, 'store', { wood, from: store, bathId })
  writer.add('soak.ended', day.morning - 10 * minuteMs, 'store', { wood, bathId, to: truck })
  const toHolderId = idOf(`party ${day.crew}`)
  writer.add('wood.handed_over', day.morning + 5 * minuteMs, 'store', {
    ...{ wood, from: truck, toHolderId, note: '' },
  })
  const buds = sticks * budsPerStick
  const now = { bundle, budsLeft: buds, budsHad: buds }
  opened.set(source, now)
  return now
}

/** Each crew's wood soaks in a tank of its own. */
const tankOf: Record<CrewKey, string> = {
  heron: 'tank east',
  finch: 'tank west',
  plover: 'tank yard',
}

const bundleSticks = (bundle: StoredBundle) => (bundle.warmed ? 96 : bundle.sticks)

function leftOver(writer: DemoWriter, bundle: StoredBundle, budsLeft: number, day: Day): void {
  const sticks = Math.floor(budsLeft / budsPerStick)
  if (sticks === 0) return
  writer.add('wood.discarded', day.morning + 10 * 60 * minuteMs, day.crew, {
    wood: { lotId: bundle.lotId, bundleId: bundle.bundleId, unit: 'stick', count: sticks },
    from: { kind: 'holder', id: idOf(`party ${day.crew}`) },
    reason: 'left at the end of the day',
  })
}

/** Looks at the vine some six weeks later; returns how many buds grow. */
function lookLater(
  writer: DemoWriter,
  graftId: string,
  vine: { rowId: string; position: number },
  graftedAt: number,
  how: { source: SourceKey; from: Opened; day: Day },
): number {
  const { source, from, day } = how
  const variety = sources.find((candidate) => candidate.key === source)?.variety ?? 'ruvello'
  const base = variety in scions ? scions[variety as ScionKey].budTake : 0.8
  const share = base - (from.bundle.warmed ? 0.3 : 0) - (day.weak ? 0.4 : 0)
  const stunted = writer.chance.happens(0.05)
  let growing = 0
  let callused = 0
  for (let bud = 0; bud < budsPerVine; bud += 1) {
    if (!writer.chance.happens(stunted ? share / 4 : share)) continue
    if (writer.chance.happens(0.9)) growing += 1
    else callused += 1
  }
  if (writer.chance.happens(0.015)) return growing
  const failed = budsPerVine - growing - callused
  const seenAt = daysLater(graftedAt, 40 + writer.chance.whole(0, 5))
  writer.add('take.checked', seenAt, day.crew, {
    vine,
    results: [{ graftId, growing, callused, failed }],
    shootLengthMm: growing > 0 ? 40 + writer.chance.whole(0, 220) : null,
    note: '',
  })
  return growing
}
