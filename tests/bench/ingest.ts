// Entries ingested, against plain multi-row inserts of the very same rows.
import { performance } from 'node:perf_hooks'
import pg from 'pg'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { factsOf } from '../../api/journal/facts.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { connect } from '../../db/connect.ts'
import type { Entry } from '#wire/entry.ts'
import { EntryWriter, idOf, seeded } from '../sim/season.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { printRatio } from './timing.ts'

const writerCount = 4
const batchSize = 100

/** Prints entries per second of both and the ratio of their times. */
export async function benchIngest(adminUrl: string, entryCount: number): Promise<void> {
  const devices = Array.from({ length: writerCount }, (_, nr) => graftingDay(nr, entryCount))
  const ours = await migratedDatabase(adminUrl, 'canemark_bench')
  const plain = await migratedDatabase(adminUrl, 'canemark_bench')
  const oursMs = await timeIngest(withDatabase(adminUrl, ours), devices)
  const plainMs = await timePlain(withDatabase(adminUrl, plain), devices)
  const perSecond = (ms: number) => Math.round((entryCount / ms) * 1000)
  console.log(
    `${entryCount} entries, ${writerCount} senders, batches of ${batchSize}: ` +
      `${perSecond(oursMs)} entries/s ingested, ${perSecond(plainMs)} entries/s plain`,
  )
  printRatio('ingest with checks, facts, sums and journal', oursMs, plainMs, 'plain inserts')
  for (const name of [ours, plain]) await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

/** A day's grafts of one phone. */
function graftingDay(nr: number, entryCount: number): Entry[] {
  const writer = new EntryWriter(seeded(nr), '2027-04-12T06:30:00Z', `bench ${nr}`)
  const device = idOf(`bench device ${nr}`)
  const count = Math.floor(entryCount / writerCount)
  for (let at = 0; at < count; at += 1) {
    writer.add(
      'graft.made',
      {
        vine: { rowId: idOf(`bench row ${nr} ${at % 60}`), position: 1 + (at % 200) },
        lotId: idOf(`bench lot ${nr} ${Math.floor(at / 500)}`),
        bundleId: null,
        from: { kind: 'holder', id: idOf(`bench crew ${nr}`) },
        method: 'chip bud',
        budCount: 2,
        knifeId: null,
        tie: null,
        note: '',
      },
      { device },
    )
  }
  return writer.entries
}

function batchesOf(entries: Entry[]): Entry[][] {
  const batches: Entry[][] = []
  for (let at = 0; at < entries.length; at += batchSize) {
    batches.push(entries.slice(at, at + batchSize))
  }
  return batches
}

async function timeIngest(url: string, devices: Entry[][]): Promise<number> {
  const app = connect(url, 'app')
  const started = performance.now()
  await Promise.all(
    devices.map(async (entries) => {
      for (const batch of batchesOf(entries)) {
        await ingest(app.db, batch[0]?.device ?? '', batch)
      }
    }),
  )
  const ms = performance.now() - started
  await app.close()
  return ms
}

/** The same journal rows and fact rows, as rows that are ready, one transaction a batch. */
async function timePlain(url: string, devices: Entry[][]): Promise<number> {
  let index = 0
  const ready = devices.map((entries) =>
    batchesOf(entries).map((batch) => {
      const first = index
      index += batch.length
      return plainRows(batch, first)
    }),
  )
  const pool = new pg.Pool({ connectionString: url, max: writerCount })
  const started = performance.now()
  await Promise.all(
    ready.map(async (batches) => {
      for (const rows of batches) {
        const client = await pool.connect()
        await client.query('begin')
        for (const { text, values } of rows) await client.query(text, values)
        await client.query('commit')
        client.release()
      }
    }),
  )
  const ms = performance.now() - started
  await pool.end()
  return ms
}

function plainRows(batch: Entry[], firstIndex: number): { text: string; values: unknown[] }[] {
  const facts = batch.map(factsOf)
  const journal = batch.map((entry, nr) => {
    const canonical = canonicalBytes(entry)
    return {
      journal_index: firstIndex + nr,
      id: entry.id,
      kind: entry.kind,
      v: entry.v,
      occurred_at: entry.occurredAt,
      device_id: entry.device,
      device_counter: entry.deviceCounter,
      person_id: entry.person,
      canonical,
      leaf_hash: leafHash(canonical),
    }
  })
  return [
    multiRow(
      'graft',
      facts.flatMap((rows) => rows.graft ?? []),
    ),
    multiRow(
      'movement',
      facts.flatMap((rows) => rows.movement ?? []),
    ),
    multiRow('entry', journal),
  ]
}

function multiRow(table: string, rows: object[]): { text: string; values: unknown[] } {
  const columns = Object.keys(rows[0] ?? {})
  const values: unknown[] = []
  const lines = rows.map((row) => {
    const places = Object.values(row).map((value) => `$${values.push(value)}`)
    return `(${places.join(',')})`
  })
  return { text: `insert into ${table} (${columns.join(',')}) values ${lines.join(',')}`, values }
}
