// Writes all that cannot be worked out again into a folder, from one snapshot of the database.
import type { Database } from '../../db/connect.ts'
import { backedUpTables, columnsOf, tableLines } from './backup-tables.ts'
import { fileNameOf, makeBackupFolder } from './backup-folder.ts'
import type { FileLine, Manifest } from './backup-folder.ts'
import { exportJournal } from './export.ts'
import { journalSize } from './read-journal.ts'

/**
 * Backs up into a new folder: the journal as `export` writes it, the tables of backup-tables.ts,
 * and a manifest with the SHA-256 of each file. One repeatable-read transaction, so that people
 * may go on working; needs the owner's connection, because no other role reads every table.
 * Refuses with `folder_exists`, `disk_full` or `folder_not_writable`, nothing left behind.
 */
export async function backup(owner: Database, folder: string, now: Date): Promise<Manifest> {
  return makeBackupFolder(folder, (write) =>
    owner
      .transaction()
      .setIsolationLevel('repeatable read')
      .setAccessMode('read only')
      .execute(async (trx) => {
        const entries = await journalSize(trx)
        const files: FileLine[] = [await write(fileNameOf('journal'), [], exportJournal(trx))]
        for (const { table } of backedUpTables) {
          const columns = await columnsOf(trx, table)
          const lines = tableLines(trx, table, columns)
          files.push(await write(fileNameOf(table), columns, lines))
        }
        return { format: 'canemark backup 1', madeAt: now.toISOString(), entries, files }
      }),
  )
}
