// The journal in a file on disk: written whole or not at all, and read from there.
import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { access, open, rename, rm } from 'node:fs/promises'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import { exportJournal } from './export.ts'
import { importJournal } from './import.ts'

/** A written file: its lines without the closing one, and the SHA-256 of its bytes in hex. */
export type WrittenFile = { entries: number; byteCount: number; sha256: string }

/**
 * Exports the journal to a new file. It takes its name only when all of it is safely on disk.
 * Refuses with `file_exists` to write over a file; throws what the disk says otherwise.
 */
export async function exportToFile(db: Database, file: string): Promise<WrittenFile> {
  if (await exists(file)) refuse('file_exists', `${file} exists already; choose another name`)
  const unfinished = `${file}.unfinished`
  const written = { entries: -1, byteCount: 0 }
  const hash = createHash('sha256')
  const handle = await open(unfinished, 'w')
  try {
    for await (const text of exportJournal(db)) {
      const bytes = Buffer.from(text, 'utf8')
      await handle.writeFile(bytes)
      hash.update(bytes)
      written.byteCount += bytes.length
      for (const byte of bytes) if (byte === 0x0a) written.entries += 1
    }
    await handle.sync()
  } catch (error) {
    await handle.close()
    await rm(unfinished, { force: true })
    throw error
  }
  await handle.close()
  await rename(unfinished, file)
  return { ...written, sha256: hash.digest('hex') }
}

/** Imports a file into an empty database, as `importJournal` does; refuses with `no_file`. */
export async function importFromFile(owner: Database, file: string): Promise<number> {
  if (!(await exists(file))) refuse('no_file', `there is no file ${file}`)
  return importJournal(owner, createReadStream(file))
}

async function exists(file: string): Promise<boolean> {
  try {
    await access(file)
    return true
  } catch {
    return false
  }
}
