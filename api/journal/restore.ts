// Fills an empty database from a backup, and keeps it only when it is the same to the byte.
import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import path from 'node:path'
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { refuse } from '../platform/errors.ts'
import { backedUpTables, columnsOf, fillTable, tableLines } from './backup-tables.ts'
import type { BackedUpTable } from './backup-tables.ts'
import { damaged, fileLineOf, fileNameOf, readBackupFolder } from './backup-folder.ts'
import type { Manifest } from './backup-folder.ts'
import { exportJournal } from './export.ts'
import { importIn } from './import.ts'
import { settleFindings } from './settle.ts'
import { textLines } from './text-lines.ts'
import { verifyIn } from './verify.ts'
import type { Verified } from './verify.ts'

type Trx = Transaction<Tables>

/** Longest line of a table: what was set aside may be a whole batch, in hexadecimal digits. */
const LINE_BYTE_LIMIT = 64 * 1024 * 1024

/** What came back. */
export type Restored = { manifest: Manifest; verified: Verified }

/**
 * Restores a backup into an empty database; needs the owner's connection. Every file is checked
 * against the manifest first; afterwards, still in the same transaction, the database is written
 * out again, must give the same hashes, and is verified. All or nothing: refuses with
 * `not_empty`, `no_backup`, `damaged_backup` or `damaged_file`, the database as it was.
 */
export async function restore(
  owner: Database,
  folder: string,
  log: (line: string) => void = () => undefined,
): Promise<Restored> {
  const manifest = await readBackupFolder(folder)
  log(`the files of ${folder} are as they were written at ${manifest.madeAt}`)
  const verified = await owner.transaction().execute(async (trx) => {
    await refuseUnlessEmpty(trx)
    for (const { table } of backedUpTables) await restoreTable(trx, folder, manifest, table)
    const journal = createReadStream(path.join(folder, fileNameOf('journal')))
    await importIn(trx, journal)
    log('all rows are in; reading them back')
    await proveSame(trx, manifest)
    const outcome = await verifyIn(trx, log)
    if ('verified' in outcome) return outcome.verified
    return damaged(`what was restored is not right: ${outcome.difference}`)
  })
  await settleFindings(owner)
  return { manifest, verified }
}

async function refuseUnlessEmpty(trx: Trx): Promise<void> {
  for (const table of ['entry', ...backedUpTables.map((known) => known.table)]) {
    const { rows } = await sql<{ count: number }>`
      select count(*) as count from (select from ${sql.table(table)} limit 1000) seen`.execute(trx)
    const count = rows[0]?.count ?? 0
    if (count === 0) continue
    refuse(
      'not_empty',
      `this database is in use: its table ${table} holds rows. A backup is only restored into an ` +
        'empty one: name a new database by DATABASE_URL, or a new folder by CANEMARK_DATA',
    )
  }
}

async function restoreTable(
  trx: Trx,
  folder: string,
  manifest: Manifest,
  table: BackedUpTable,
): Promise<void> {
  const { name, columns } = fileLineOf(manifest, fileNameOf(table))
  const known = await columnsOf(trx, table)
  const unknown = columns.find((column) => !known.includes(column))
  if (unknown !== undefined) {
    refuse(
      'newer_backup',
      `${name} has a column ${unknown} that this Canemark does not know: the backup was made by ` +
        'a newer one; restore it with that. Nothing was restored',
    )
  }
  const lines = textLines(createReadStream(path.join(folder, name)), LINE_BYTE_LIMIT, (what) =>
    damaged(`${name}: ${what}`),
  )
  await fillTable(trx, table, columns, lines)
}

/** The database written out again must be what the backup holds, times of recording included. */
async function proveSame(trx: Trx, manifest: Manifest): Promise<void> {
  await proveFile(manifest, fileNameOf('journal'), exportJournal(trx))
  for (const { table } of backedUpTables) {
    const name = fileNameOf(table)
    await proveFile(manifest, name, tableLines(trx, table, fileLineOf(manifest, name).columns))
  }
}

async function proveFile(
  manifest: Manifest,
  name: string,
  pieces: AsyncIterable<string>,
): Promise<void> {
  const hash = createHash('sha256')
  for await (const piece of pieces) hash.update(piece, 'utf8')
  if (hash.digest('hex') === fileLineOf(manifest, name).sha256) return
  damaged(`what was restored of ${name} does not read as it was written`)
}
