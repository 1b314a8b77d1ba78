// The sums kept for each day against the readings added up by SQL, and against what changes them.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { climateRulesOf } from '#trade/climate-policies.ts'
import type { ClimateFigures } from '#trade/climate-figures.ts'
import { SUM_NAMES } from '#trade/climate-sums.ts'
import { policiesWith } from '#trade/policies.ts'
import { rebuild } from '../../api/journal/rebuild.ts'
import { openClimateBook } from '../../api/store/climate-book.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { send } from '../lots/small-season.ts'
import { idOf, seeded } from '../sim/entry-writer.ts'
import { DAY, LoggerSeason, madeUpReadings, MINUTE } from './logger-scene.ts'

const slow = 240_000
const rules = climateRulesOf(policiesWith({}))
const began = Date.UTC(2026, 0, 3)

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

async function figures(loggerId: string, from: number, to: number): Promise<ClimateFigures> {
  const span = { loggerId, from, to }
  return (await openClimateBook(database.app.db, rules, [span]))(span)
}

type Added = { hours: number; temp: number; days: number; warm: number; swell: number; vpd: number }

/** The plain way, in SQL: every interval between two readings, whole, by trapezoids. */
async function addedUpInSql(loggerId: string, from: number, to: number): Promise<Added> {
  const rows = await sql<Added>`
    with reading as (
      select first_at + make_interval(secs => s.second) as at, s.centi / 100.0 as c,
        s.tenths / 10.0 as rh
      from temperature_log t
      cross join lateral unnest(t.seconds, t.centi_c, t.humidity_tenths) as s(second, centi, tenths)
      where t.logger_id = ${loggerId}
    ), pair as (
      select *, lead(at) over w as at2, lead(c) over w as c2, lead(rh) over w as rh2
      from reading window w as (order by at)
    ), part as (
      select extract(epoch from at2 - at)::float8 / 3600 as h, c::float8, c2::float8,
        rh::float8, rh2::float8
      from pair where at >= ${new Date(from)} and at2 <= ${new Date(to)}
        and at2 - at <= interval '60 minutes'
    )
    select sum(h) as hours, sum(h * (c + c2) / 2) as temp,
      sum(h * (power(2.8, (c - 1) / 10) + power(2.8, (c2 - 1) / 10)) / 48) as days,
      sum(h * ((c > 8)::int + (c2 > 8)::int) / 2) as warm,
      sum(h * (greatest(0, c - 5) + greatest(0, c2 - 5)) / 48) as swell,
      sum(h * (0.6108 * exp(17.27 * c / (c + 237.3)) * (1 - rh / 100)
        + 0.6108 * exp(17.27 * c2 / (c2 + 237.3)) * (1 - rh2 / 100)) / 2) as vpd
    from part`.execute(database.app.db)
  const row = rows.rows[0]
  if (row === undefined) throw new Error('no sums')
  return row
}

describe('a year at five minutes', () => {
  it(
    'adds up to what an independent sum in SQL gives, kept or not',
    { timeout: slow },
    async () => {
      const season = new LoggerSeason('a year')
      season.logger('north', 'room', began)
      season.read('north', madeUpReadings(7, began, 365, { baseC: 4, swingC: 5 }))
      await send(database.app.db, season.entries)
      const logger = season.id('north')
      const spans = [
        [began, began + 365 * DAY],
        [began + 3 * DAY, began + 200 * DAY],
        [began + 40 * MINUTE, began + 55 * MINUTE],
        [began + 17 * DAY + 35 * MINUTE, began + 90 * DAY + 715 * MINUTE],
      ] as const
      for (const [from, to] of spans) {
        const first = await figures(logger, from, to)
        const plain = await addedUpInSql(logger, from, to)
        const { sums } = first
        // Where a reading is missing at an end, SQL leaves out the part interval that we count.
        const close = (ours: number, theirs: number) => {
          expect(Math.abs(ours - theirs)).toBeLessThan(0.001 * Math.abs(theirs) + 0.1)
        }
        close(sums.measuredHours, plain.hours)
        close(sums.tempHours, plain.temp)
        close(sums.equivalentDays, plain.days)
        close(sums.aboveWakingHours, plain.warm)
        close(sums.swellDegreeDays, plain.swell)
        close(sums.deficitHours, plain.vpd)
        expect(await figures(logger, from, to)).toEqual(first)
      }
      const all = await figures(logger, began, began + 366 * DAY)
      const plain = await addedUpInSql(logger, began, began + 366 * DAY)
      expect(all.sums.equivalentDays / plain.days).toBeCloseTo(1, 9)
      expect(all.sums.measuredHours).toBeCloseTo(plain.hours, 6)
      expect(all.sums.swellDegreeDays / plain.swell).toBeCloseTo(1, 9)
      const kept = await sql<{ n: number }>`select count(*)::int as n from climate_day
      where logger_id = ${logger}`.execute(database.app.db)
      expect(kept.rows[0]?.n).toBeGreaterThan(360)
    },
  )
})

describe('invariants 2, 3 and 10: what is kept never differs from what the entries say', () => {
  it('readings late, twice, withdrawn or rebuilt change sums as they change facts', async () => {
    const readings = madeUpReadings(11, began, 6, { everyMinutes: 15 })
    const season = new LoggerSeason('changing')
    season.logger('south', 'room', began)
    const entries = season.read('south', readings)
    const logger = season.id('south')
    const [late, ...early] = [entries[2], ...entries.filter((_, nr) => nr !== 2)]
    if (late === undefined) throw new Error('there are six days')
    const ask = () => figures(logger, began + 5 * MINUTE, began + 6 * DAY)
    await send(database.app.db, [...season.entries.slice(0, 1), ...early.flatMap((e) => e ?? [])])
    const without = await ask()
    await send(database.app.db, [late, late])
    const whole = await ask()
    expect(whole.sums.measuredHours).toBeGreaterThan(without.sums.measuredHours + 20)

    const doubled = new LoggerSeason('changing')
    doubled.wait(9000)
    const again = doubled.readOnce('south', readings.slice(0, 20))
    const otherId = { ...again, id: idOf('told once more'), device: idOf('another device') }
    await send(database.app.db, [otherId])
    expect(await ask()).toEqual(whole)

    await sql`delete from climate_day`.execute(database.app.db)
    expect(await ask()).toEqual(whole)
    await rebuild(database.owner.db)
    expect(await ask()).toEqual(whole)

    season.wait(9000)
    await send(database.app.db, [
      season.add('entry.withdrawn', { entryId: late.id, reason: 'another room' }),
    ])
    const after = await ask()
    for (const name of SUM_NAMES) expect(after.sums[name]).toBeCloseTo(without.sums[name], 9)
    expect(after.excursions).toEqual(without.excursions)
  })

  it('a kept day that somebody changed is not used once its entries or rules differ', async () => {
    const season = new LoggerSeason('changed rules')
    season.logger('east', 'room', began)
    season.read('east', madeUpReadings(13, began, 3, { everyMinutes: 30 }))
    await send(database.app.db, season.entries)
    const span = { loggerId: season.id('east'), from: began, to: began + 3 * DAY }
    const one = (await openClimateBook(database.app.db, rules, [span]))(span)
    const other = (await openClimateBook(database.app.db, { ...rules, q10: 3.8 }, [span]))(span)
    expect(other.sums.equivalentDays).not.toBeCloseTo(one.sums.equivalentDays, 3)
    expect(other.sums.tempHours).toBe(one.sums.tempHours)
    const reader = (await openClimateBook(database.reader.db, { ...rules, q10: 3 }, [span]))(span)
    expect(reader.sums.tempHours).toBe(one.sums.tempHours)
  })

  it('of two readings of one moment the warmer counts, in either order', async () => {
    const random = seeded(3)
    const at = [0, 10, 20, 30].map((minutes) => began + minutes * MINUTE)
    const told = (centiC: number) => at.map((time) => ({ at: time, centiC, humidityTenths: null }))
    for (const order of [
      [300, 500],
      [500, 300],
    ]) {
      const season = new LoggerSeason(`order ${order.join(' ')} ${random()}`)
      for (const centiC of order) season.readOnce('west', told(centiC))
      await send(database.app.db, season.entries)
      const found = await figures(season.id('west'), began, began + 30 * MINUTE)
      expect(found.sums.tempHours).toBeCloseTo(2.5, 9)
    }
  })
})
