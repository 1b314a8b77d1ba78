// The age of lots by kept sums and two look-ups, against summing raw readings in SQL for each lot.
import pg from 'pg'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { policiesWith } from '#trade/policies.ts'
import { connect } from '../../db/connect.ts'
import { openClimateBook } from '../../api/store/climate-book.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { medianMs, printRatio } from './timing.ts'

const sensors = 20
const days = 180
const lots = 5000
/** SQL is timed on so many of the lots, and scaled: all of them would take minutes. */
const sqlLots = 25
const began = Date.UTC(2026, 0, 1)
const dayMs = 86_400_000

/** Loads a season of five-minute readings of 20 sensors and prints the ratio for 5,000 lots. */
export async function benchThermal(adminUrl: string): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const url = withDatabase(adminUrl, name)
  const client = new pg.Client({ connectionString: url })
  await client.connect()
  await load(client)
  const app = connect(url, 'app')
  const rules = climateRulesOf(policiesWith({}))
  const ids = await client.query<{ id: string }>(
    `select md5('sensor' || nr)::uuid as id from generate_series(1, ${sensors}) nr order by nr`,
  )
  const spans = Array.from({ length: lots }, (_, nr) => {
    const from = began + Math.floor((nr * 7919) % 4000) * 600_000
    const to = began + (days - 1) * dayMs - Math.floor((nr * 104_729) % 4000) * 600_000
    return { loggerId: ids.rows[nr % sensors]?.id ?? '', from, to }
  })
  const ages = async () => {
    const book = await openClimateBook(app.db, rules, spans)
    return spans.map((span) => book(span).sums.equivalentDays)
  }
  const firstMs = await medianMs(1, ages)
  const keptMs = await medianMs(3, ages)
  const some = spans.slice(0, sqlLots)
  const rawMs = await medianMs(3, async () => {
    for (const { loggerId, from, to } of some) {
      await client.query(rawSum, [loggerId, new Date(from), new Date(to)])
    }
  })
  const scaledMs = (rawMs * lots) / sqlLots
  printRatio(`age of ${lots} lots, days summed for the first time`, firstMs, scaledMs, 'raw SQL')
  printRatio(`age of ${lots} lots, days kept`, keptMs, scaledMs, 'raw SQL')
  await app.close()
  await client.end()
  await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

const rawSum = `
  select sum(extract(epoch from at2 - at) / 86400
    * (power(2.8, (c - 1) / 10) + power(2.8, (c2 - 1) / 10)) / 2) as days
  from (select at, c, lead(at) over w as at2, lead(c) over w as c2 from raw_reading
    where logger_id = $1 and at between $2 and $3 window w as (order by at)) pair
  where at2 - at <= interval '60 minutes'`

async function load(client: pg.Client): Promise<void> {
  await client.query(`
    create table raw_reading (logger_id uuid, at timestamptz, c float8);
    insert into raw_reading
    select md5('sensor' || nr)::uuid,
      '2026-01-01T00:00:00Z'::timestamptz + i * interval '5 minutes',
      round((2 + sin(i / 900.0 + nr) * 2 + random())::numeric, 2)
    from generate_series(1, ${sensors}) nr, generate_series(0, ${days * 288 - 1}) i;
    create index on raw_reading (logger_id, at);
    insert into temperature_log
    select md5(logger_id::text || day)::uuid, logger_id, min(at), max(at),
      array_agg(extract(epoch from at - day)::int order by at),
      array_agg((c * 100)::int order by at), null, 0, max(at)
    from (select *, date_trunc('day', at, 'UTC') as day from raw_reading) r
    group by logger_id, day;
    analyze;`)
}
