// The journal's tree: what it costs appends, a proof among ten million, a dossier of a whole block.
import { createHash } from 'node:crypto'
import { performance } from 'node:perf_hooks'
import { sql } from 'kysely'
import { checkDossier } from '../../api/dossier/check/check-dossier.ts'
import { makeDossier } from '../../api/dossier/make.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { makeCheckpoint } from '../../api/journal/checkpoints.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { checkInclusion, nodeHash } from '../../api/journal/merkle.ts'
import { growTree, inclusionProofs, rootAt } from '../../api/journal/tree.ts'
import { connect } from '../../db/connect.ts'
import type { Database } from '../../db/connect.ts'
import type { Entry, EntryBody } from '#wire/entry.ts'
import { newSigner } from '../journal/new-signer.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { EntryWriter, idOf, seeded } from '../sim/season.ts'
import { medianMs, printRatio } from './timing.ts'

const batchSize = 100
const treeSize = 10_000_000
const sampleCount = 200
const rowCount = 25
const rounds = 3
const vinesPerRow = 200

/** Prints all three. */
export async function benchProofs(adminUrl: string, entryCount: number): Promise<void> {
  const entries = blockSeason(entryCount)
  // In turn, and the best of each, because other work on the machine disturbs single runs.
  let [off, on] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  for (let round = 0; round < rounds; round += 1) {
    off = Math.min(off, await timeAppends(adminUrl, entries, false))
    on = Math.min(on, await timeAppends(adminUrl, entries, true))
  }
  const perSecond = (ms: number) => Math.round((entries.length / ms) * 1000)
  console.log(
    `${entries.length} entries, one sender, batches of ${batchSize}: ` +
      `${perSecond(on)} entries/s with tree and checkpoints, ${perSecond(off)} without`,
  )
  printRatio('appends while the tree grows and is signed', on, off, 'without a tree')
  await within(adminUrl, (db, owner) => benchLargeTree(db, owner))
  await within(adminUrl, (db) => benchBlock(db))
}

async function within(
  adminUrl: string,
  work: (db: Database, owner: Database) => Promise<void>,
): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const url = withDatabase(adminUrl, name)
  const [app, owner] = [connect(url, 'app'), connect(url, 'owner', { max: 2 })]
  try {
    await work(app.db, owner.db)
  } finally {
    await Promise.all([app.close(), owner.close()])
    await asAdmin(adminUrl, `drop database ${name} with (force)`)
  }
}

async function timeAppends(adminUrl: string, entries: Entry[], hasTree: boolean): Promise<number> {
  let ms = 0
  await within(adminUrl, async (db) => {
    const signer = await newSigner(db)
    let isOver = false
    const signing = (async () => {
      while (hasTree && !isOver) {
        await growTree(db)
        await makeCheckpoint(db, signer, new Date()).catch(() => undefined)
        await new Promise((resolve) => setTimeout(resolve, 200))
      }
    })()
    const started = performance.now()
    await ingestAll(db, entries)
    ms = performance.now() - started
    isOver = true
    await signing
  })
  return ms
}

async function ingestAll(db: Database, entries: Entry[]): Promise<void> {
  for (let at = 0; at < entries.length; at += batchSize) {
    const batch = entries.slice(at, at + batchSize)
    await ingest(db, batch[0]?.device ?? '', batch)
  }
}

/** Kept hashes of ten million leaves; of the entries only those that the sampled proofs read. */
async function benchLargeTree(db: Database, owner: Database): Promise<void> {
  const leaf = (nr: number) => createHash('sha256').update(String(nr)).digest()
  const indexes = Array.from({ length: sampleCount }, (_, nr) => (nr * 49_999 + 7) % treeSize)
  let hashes: Buffer[] = []
  for (let at = 0; at < treeSize; at += 16) {
    hashes.push(joined(Array.from({ length: 16 }, (_, nr) => leaf(at + nr))))
  }
  for (let level = 4; hashes.length > 0; level += 4) {
    for (let at = 0; at < hashes.length; at += 20_000) {
      const part = hashes.slice(at, at + 20_000)
      await sql`insert into tree_node select ${level}, ${at} + nr - 1, hash
        from unnest(${part}::bytea[]) with ordinality as t(hash, nr)`.execute(owner)
    }
    const parents = Math.floor(hashes.length / 16)
    hashes = Array.from({ length: parents }, (_, nr) => joined(hashes.slice(nr * 16, nr * 16 + 16)))
  }
  const wanted = new Set([treeSize - 1])
  for (const index of indexes) {
    const first = index - (index % 16)
    for (let nr = 0; nr < 16; nr += 1) wanted.add(first + nr)
  }
  const rows = [...wanted]
  await sql`insert into entry (journal_index, id, kind, v, occurred_at, device_id, device_counter,
      person_id, canonical, leaf_hash)
    select nr, gen_random_uuid(), 'bench', 1, now(), gen_random_uuid(), 1, gen_random_uuid(),
      convert_to(nr::text, 'UTF8'), sha256(convert_to(nr::text, 'UTF8'))
    from unnest(${rows}::bigint[]) as nr`.execute(owner)
  await sql`analyze`.execute(owner)
  const root = await rootAt(db, treeSize)
  let nr = 0
  let proof: Buffer[] = []
  const ms = await medianMs(sampleCount, async () => {
    const index = indexes[nr++ % sampleCount] ?? 0
    proof = (await inclusionProofs(db, [index], treeSize))[0] ?? []
    const held = checkInclusion({ index, size: treeSize, leaf: leaf(index), proof, root })
    if (!held.ok) throw new Error(held.problem)
  })
  const all = await medianMs(3, () => inclusionProofs(db, indexes, treeSize))
  console.log(
    `${treeSize} entries: a proof is ${proof.length} hashes, ${proof.length * 32} bytes; ` +
      `read and checked in ${ms.toFixed(1)} ms (median of ${sampleCount}); ` +
      `${sampleCount} at once in ${all.toFixed(0)} ms`,
  )
  const size = await sql<{ bytes: number }>`
    select pg_total_relation_size('tree_node') as bytes`.execute(owner)
  console.log(`its kept hashes take ${((size.rows[0]?.bytes ?? 0) / 1e6).toFixed(0)} MB`)
}

function joined(hashes: readonly Buffer[]): Buffer {
  const [first] = hashes
  if (hashes.length === 1 && first !== undefined) return first
  const half = hashes.length / 2
  return nodeHash(joined(hashes.slice(0, half)), joined(hashes.slice(half)))
}

/** A block of 5,000 vines, each grafted and looked at once, and the lot that was cut for it. */
function blockSeason(limit = Number.POSITIVE_INFINITY): Entry[] {
  const writer = new EntryWriter(seeded(14), '2027-04-12T06:30:00Z', 'bench proofs')
  const device = idOf('bench proof device')
  writer.add('block.registered', { blockId: bench.block, name: 'Bench', note: '' }, { device })
  writer.add('lot.cut', benchLot, { device })
  for (let row = 0; row < rowCount; row += 1) {
    const at = { rowId: rowOf(row), blockId: bench.block, label: String(row + 1), headAt: null }
    const layout = { positionCount: vinesPerRow, missing: [], sections: [] }
    writer.add('row.laid_out', { ...at, ...layout, sequence: row + 1 }, { device })
  }
  for (let nr = 0; nr < rowCount * vinesPerRow && writer.entries.length < limit; nr += 1) {
    const vine = { rowId: rowOf(Math.floor(nr / vinesPerRow)), position: 1 + (nr % vinesPerRow) }
    const from = { kind: 'holder' as const, id: idOf('bench crew') }
    const how = { method: 'chip bud' as const, budCount: 2, knifeId: null, tie: null, note: '' }
    const graft = { vine, lotId: bench.lot, bundleId: null, from, ...how }
    const { id: graftId } = writer.add('graft.made', graft, { device })
    const results = [{ graftId, growing: 2, callused: 0, failed: 0 }]
    writer.add('take.checked', { vine, results, shootLengthMm: null, note: '' }, { device })
  }
  return writer.entries
}

const bench = { block: idOf('bench proof block'), lot: idOf('bench proof lot') }
const rowOf = (row: number) => idOf(`bench proof row ${row}`)
const benchLot: EntryBody<'lot.cut'> = {
  lotId: bench.lot,
  reference: '27-001',
  material: 'scion wood',
  varietyId: idOf('bench variety'),
  clone: null,
  scheme: null,
  class: null,
  harvestYear: 2026,
  budsPerStick: 6,
  sourceId: idOf('bench source'),
  sticks: 2000,
  bundles: [],
  to: { kind: 'place', id: idOf('bench room') },
  note: '',
}

/** Makes the dossier, and reads the same rows plainly, in turn; the best of each is told. */
async function benchBlock(db: Database): Promise<void> {
  await ingestAll(db, blockSeason())
  const signer = await newSigner(db)
  const subject = { kind: 'block', id: bench.block, position: 0 } as const
  let [madeMs, plainMs] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  let made: MadeDossier | null = null
  let plainBytes = 0
  for (let round = 0; round < rounds; round += 1) {
    const started = performance.now()
    made = await makeDossier(db, signer, subject, new Date())
    madeMs = Math.min(madeMs, performance.now() - started)
    const from = performance.now()
    plainBytes = await readPlainly(db, made)
    plainMs = Math.min(plainMs, performance.now() - from)
  }
  if (made === null) throw new Error('no dossier was made')
  const started = performance.now()
  const wrong = (await checkDossier(made.json.toString('utf8'), { pdf: made.pdf })).filter(
    ({ result }) => result === 'wrong',
  )
  if (wrong.length > 0) throw new Error(JSON.stringify(wrong))
  const checkedMs = performance.now() - started
  const mb = (bytes: number) => (bytes / 1e6).toFixed(1)
  console.log(
    `a dossier of ${rowCount * vinesPerRow} vines: ${made.entries} entries, JSON ` +
      `${mb(made.json.length)} MB, PDF ${mb(made.pdf.length)} MB, the entries alone ` +
      `${mb(plainBytes)} MB; checked in ${checkedMs.toFixed(0)} ms`,
  )
  const ratio = (made.json.length / plainBytes).toFixed(2)
  console.log(`bytes of the JSON file, to those of its entries alone: ratio ${ratio}`)
  printRatio('a dossier of a block, made', madeMs, plainMs, 'its rows read plainly')
}

/** The same entries, grafts and looks by three plain statements; returns the entries' bytes. */
async function readPlainly(db: Database, { content }: MadeDossier): Promise<number> {
  const indexes = content.proof.entries.map(({ index }) => index)
  const rows = Array.from({ length: rowCount }, (_, row) => rowOf(row))
  const entries = await sql<{ canonical: Buffer }>`
    select * from entry where journal_index = any(${indexes}::bigint[])`.execute(db)
  await sql`select * from graft where row_id = any(${rows}::uuid[])`.execute(db)
  await sql`select * from take_check where row_id = any(${rows}::uuid[])`.execute(db)
  return entries.rows.reduce((sum, { canonical }) => sum + canonical.length, 0)
}
