// Findings settled after one more batch, with much behind it, against the same with nothing behind.
import { performance } from 'node:perf_hooks'
import { sql } from 'kysely'
import { ingest } from '../../api/journal/ingest.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import { connect } from '../../db/connect.ts'
import type { Connected, Database } from '../../db/connect.ts'
import type { Entry } from '#wire/entry.ts'
import { SmallSeason } from '../lots/small-season.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { printRatio } from './timing.ts'

const rounds = 15
const batchSize = 50

/**
 * Prints how long settling takes after a batch of 50 grafts: on a lot with 5,000 grafts, on a row
 * of 200 vines with ten seasons behind it, and from a device that has sent 500,000 entries.
 */
export async function benchFindings(adminUrl: string, deviceEntries: number): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const url = withDatabase(adminUrl, name)
  const [app, owner] = [connect(url, 'app'), connect(url, 'owner', { max: 1 })]
  const fresh = await settledAfter(app.db, new SmallSeason('fresh'))
  const lot = new SmallSeason('lot')
  await grafts(app.db, lot, 5000, (nr) => ({ lot: 'lot', row: `row ${nr % 40}` }))
  printRatio('a lot with 5,000 grafts', await settledAfter(app.db, lot), fresh, 'a fresh lot')
  const row = new SmallSeason('row')
  await grafts(app.db, row, 4000, (nr) => ({ lot: `lot ${nr % 20}`, row: 'row' }))
  plans(row)
  await send(app.db, row.entries.slice(-10))
  printRatio('a row with ten seasons', await settledAfter(app.db, row), fresh, 'a fresh row')
  const device = new SmallSeason('device')
  const countMs = await longJournal(app, owner, device, deviceEntries)
  console.log(`${deviceEntries} entries of one device counted once: ${Math.round(countMs)} ms`)
  const ofDevice = await settledAfter(app.db, device)
  printRatio(`a device with ${deviceEntries} entries`, ofDevice, fresh, 'a fresh device')
  await Promise.all([app.close(), owner.close()])
  await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

async function send(db: Database, entries: Entry[]): Promise<void> {
  for (let at = 0; at < entries.length; at += 500) {
    const batch = entries.slice(at, at + 500)
    await ingest(db, batch[0]?.device ?? '', batch)
  }
}

async function grafts(
  db: Database,
  season: SmallSeason,
  count: number,
  where: (nr: number) => { lot: string; row: string },
): Promise<void> {
  season.source('source')
  for (const lot of new Set(Array.from({ length: count }, (_, nr) => where(nr).lot))) {
    season.cut(lot, { sticks: 5000 })
    season.handOver(lot, 5000)
  }
  const rows = new Set(Array.from({ length: count }, (_, nr) => where(nr).row))
  for (const row of rows) season.row(row, { positionCount: 200, missing: [3, 5, 8] })
  for (let nr = 0; nr < count; nr += 1) {
    const { lot, row } = where(nr)
    const vine = { rowId: season.id(row), position: 1 + (nr % 200) }
    season.graft(lot, 1, { vine, knifeId: season.id('knife') })
  }
  await send(db, season.entries)
  await settleFindings(db)
}

function plans(season: SmallSeason): void {
  for (let year = 2018; year < 2028; year += 1) {
    season.add('row.planned', {
      rowId: season.id('row'),
      fromPosition: 1,
      toPosition: 200,
      season: year,
      varietyId: season.id('variety'),
      clone: '12',
      class: 'certified',
      method: null,
      budsPerVine: 2,
    })
  }
}

/** The median time of settling after one batch, in milliseconds. */
async function settledAfter(db: Database, season: SmallSeason): Promise<number> {
  const times: number[] = []
  for (let round = 0; round < rounds; round += 1) {
    const from = season.entries.length
    for (let nr = 0; nr < batchSize; nr += 1) season.graft('lot', 1 + nr)
    await send(db, season.entries.slice(from))
    const started = performance.now()
    await settleFindings(db)
    times.push(performance.now() - started)
  }
  return median(times)
}

/** A journal of a device with one lost entry, written straight into the table. */
async function longJournal(
  app: Connected,
  owner: Connected,
  season: SmallSeason,
  count: number,
): Promise<number> {
  season.place('room')
  const [first] = season.entries
  if (first === undefined) throw new Error('no entry')
  await send(app.db, season.entries)
  await settleFindings(app.db)
  season.loseOne(first.device)
  await sql`
    insert into entry (journal_index, id, kind, v, occurred_at, device_id, device_counter,
      person_id, canonical, leaf_hash)
    select (select max(journal_index) from entry) + nr, gen_random_uuid(), 'vine.skipped', 1,
      now(), ${first.device}, nr + 2, ${first.person}, '{}', decode(repeat('00', 32), 'hex')
    from generate_series(1, ${count}) as nr`.execute(owner.db)
  await sql`analyze entry`.execute(owner.db)
  for (let nr = 0; nr < count; nr += 1) season.loseOne(first.device)
  season.place('hall')
  await send(app.db, season.entries.slice(-1))
  const started = performance.now()
  await settleFindings(app.db)
  return performance.now() - started
}

function median(times: number[]): number {
  const sorted = [...times].sort((one, other) => one - other)
  return sorted[Math.floor(sorted.length / 2)] ?? 0
}
