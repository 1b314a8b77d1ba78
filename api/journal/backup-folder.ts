// The folder of a backup: files written privately and whole, named and hashed in a manifest.
import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { access, mkdir, open, readFile, rename, rm } from 'node:fs/promises'
import path from 'node:path'
import { z } from 'zod'
import { refuse } from '../platform/errors.ts'

/** Name of the file that names all others; it is written last. */
export const MANIFEST = 'manifest.json'
const JOURNAL = 'journal.ndjson'

const FileLine = z.strictObject({
  name: z.string().regex(/^[a-z_]+\.ndjson$/),
  /** The columns of a table's rows; empty for the journal. */
  columns: z.array(z.string()),
  bytes: z.int().min(0),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
})
export type FileLine = z.infer<typeof FileLine>

const Manifest = z.strictObject({
  format: z.literal('canemark backup 1'),
  madeAt: z.string(),
  /** How many entries the journal holds. */
  entries: z.int().min(0),
  files: z.array(FileLine),
})
export type Manifest = z.infer<typeof Manifest>

/** The file of the journal, or of a table. */
export const fileNameOf = (what: string) => (what === 'journal' ? JOURNAL : `${what}.ndjson`)

/** Writes one file of the backup out of pieces of text. */
export type WriteFile = (
  name: string,
  columns: string[],
  pieces: AsyncIterable<string>,
) => Promise<FileLine>

/**
 * Makes the folder with all that `fill` writes and the manifest that it returns; the folder takes
 * its name when everything is on disk, and nothing stays behind when something fails. Folder and
 * files are for their owner alone (0700, 0600). Refuses with `folder_exists`, and with
 * `disk_full`, `folder_not_writable` in words.
 */
export async function makeBackupFolder(
  folder: string,
  fill: (write: WriteFile) => Promise<Manifest>,
): Promise<Manifest> {
  const target = path.resolve(folder)
  const unfinished = `${target}.unfinished`
  await refuseExisting(target, unfinished)
  try {
    await mkdir(unfinished, { mode: 0o700 })
  } catch (error) {
    throw inWords(error, path.dirname(target))
  }
  try {
    const manifest = await fill((name, columns, pieces) =>
      writeFile(path.join(unfinished, name), name, columns, pieces),
    )
    await writeFile(path.join(unfinished, MANIFEST), MANIFEST, [], one(manifestText(manifest)))
    await syncFolder(unfinished)
    await rename(unfinished, target)
    await syncFolder(path.dirname(target))
    return manifest
  } catch (error) {
    await rm(unfinished, { recursive: true, force: true })
    throw inWords(error, target)
  }
}

/** Reads the manifest and checks every file against it; refuses with `damaged_backup`. */
export async function readBackupFolder(folder: string): Promise<Manifest> {
  const manifest = await readManifest(folder)
  for (const { name, bytes, sha256 } of manifest.files) {
    const file = path.join(folder, name)
    const hash = createHash('sha256')
    let size = 0
    try {
      for await (const chunk of createReadStream(file) as AsyncIterable<Buffer>) {
        hash.update(chunk)
        size += chunk.length
      }
    } catch (error) {
      damaged(`${file} cannot be read (${messageOf(error)})`)
    }
    if (size === bytes && hash.digest('hex') === sha256) continue
    damaged(`${file} is not as it was written: ${size} bytes now, ${bytes} bytes then`)
  }
  return manifest
}

/** What the manifest says of one file; refuses with `damaged_backup` when it says nothing. */
export function fileLineOf(manifest: Manifest, name: string): FileLine {
  const line = manifest.files.find((file) => file.name === name)
  return line ?? damaged(`its ${MANIFEST} does not name ${name}`)
}

/** Refuses a backup that cannot be restored. */
export function damaged(what: string): never {
  return refuse(
    'damaged_backup',
    `${what}; nothing was restored: take another copy or an older one`,
  )
}

async function readManifest(folder: string): Promise<Manifest> {
  const file = path.join(folder, MANIFEST)
  let text: string
  try {
    text = await readFile(file, 'utf8')
  } catch (error) {
    return refuse(
      'no_backup',
      `${folder} is no backup: ${file} cannot be read (${messageOf(error)})`,
    )
  }
  try {
    return Manifest.parse(JSON.parse(text))
  } catch {
    return damaged(`${file} is not a manifest that this program knows`)
  }
}

const manifestText = (manifest: Manifest) => `${JSON.stringify(manifest, null, 2)}\n`

async function* one(text: string): AsyncGenerator<string> {
  yield text
}

async function writeFile(
  at: string,
  name: string,
  columns: string[],
  pieces: AsyncIterable<string>,
): Promise<FileLine> {
  const hash = createHash('sha256')
  let bytes = 0
  const file = await open(at, 'wx', 0o600)
  try {
    for await (const piece of pieces) {
      const part = Buffer.from(piece, 'utf8')
      await file.writeFile(part)
      hash.update(part)
      bytes += part.length
    }
    await file.sync()
  } finally {
    await file.close()
  }
  return { name, columns, bytes, sha256: hash.digest('hex') }
}

async function refuseExisting(target: string, unfinished: string): Promise<void> {
  if (await exists(target)) {
    refuse('folder_exists', `${target} exists already; name a folder that does not`)
  }
  if (!(await exists(unfinished))) return
  refuse(
    'folder_exists',
    `${unfinished} exists: another backup is being written there, or one was killed; ` +
      'remove that folder if none is running',
  )
}

/** Windows cannot open a folder to sync it, and does not need to. */
async function syncFolder(folder: string): Promise<void> {
  if (process.platform === 'win32') return
  const handle = await open(folder, 'r')
  try {
    await handle.sync()
  } finally {
    await handle.close()
  }
}

function inWords(error: unknown, at: string): unknown {
  const code = error instanceof Error && 'code' in error ? error.code : ''
  if (code === 'ENOSPC' || code === 'EDQUOT') {
    const detail = `the disk that holds ${at} is full: no backup was written and nothing was left`
    return refusal('disk_full', `${detail}; free some space or name a folder on another disk`)
  }
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS' || code === 'ENOENT') {
    return refusal('folder_not_writable', `no folder can be made in ${at} (${messageOf(error)})`)
  }
  return error
}

/** A refusal as a value, to be thrown where the failure came from. */
function refusal(code: string, detail: string): unknown {
  try {
    return refuse(code, detail)
  } catch (error) {
    return error
  }
}

async function exists(at: string): Promise<boolean> {
  try {
    await access(at)
    return true
  } catch {
    return false
  }
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
