// Makes the database cluster on disk, and refuses one that this PostgreSQL cannot read.
import { randomUUID } from 'node:crypto'
import { mkdir, open, readFile, readdir, rename, rm, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { type Account, giveToServer } from './account.ts'
import type { Engine, EnginePackage } from './engine.ts'
import { EmbeddedDatabaseError, diskFull, inWords, systemCode } from './errors.ts'
import { type Layout, exists } from './folder.ts'
import { runProgram } from './programs.ts'

/**
 * How an unfinished database is cleared away: with patience, for initdb outlives a Node that was
 * killed and may still be writing into the folder (ENOTEMPTY) for a few seconds.
 */
const wholeFolder = { recursive: true, force: true, maxRetries: 20, retryDelay: 100 }

/** The superuser, for bootstrap only. */
export const adminRole = 'canemark_admin'

const unfinishedPrefix = 'database-unfinished-'

/**
 * Refuses, before anything is touched, a cluster of another major version (`other_major_version`)
 * or a folder that holds no cluster at all (`folder_not_ours`). Gives whether a cluster exists.
 */
export async function checkCluster(layout: Layout, source: EnginePackage): Promise<boolean> {
  if (!(await exists(layout.database))) return false
  const versionFile = path.join(layout.database, 'PG_VERSION')
  const text = await readFile(versionFile, 'utf8').catch((error: unknown) => {
    if (systemCode(error) === 'ENOENT') return null
    throw inWords(error, layout.dataFolder)
  })
  if (text === null) {
    throw new EmbeddedDatabaseError(
      'folder_not_ours',
      `${layout.database} is there but holds no PostgreSQL database (no file PG_VERSION). ` +
        `Canemark does not touch it. Move it away, or name another folder with CANEMARK_DATA.`,
    )
  }
  const found = text.trim()
  if (found === String(source.major)) return true
  throw new EmbeddedDatabaseError(
    'other_major_version',
    `The data folder ${layout.dataFolder} holds a database of PostgreSQL ${found}, and this ` +
      `Canemark brings PostgreSQL ${source.major} (${source.version}), which cannot read it. ` +
      `Nothing was changed. To move: start the Canemark version that last used this folder, ` +
      `export the journal to a file, move ${layout.database} to a safe place, start this version ` +
      `and import the journal. Keep the old folder until the import has been verified.`,
  )
}

/**
 * Makes a new cluster: UTF-8, ordering by code point whatever the machine's language (builtin
 * provider), data checksums, scram-sha-256 for everybody. It appears under its name only when
 * complete and on disk, so a first start that was cut off is simply done again.
 */
export async function initialiseCluster(
  layout: Layout,
  account: Account,
  engine: Engine,
  adminPassword: string,
): Promise<void> {
  await removeUnfinished(layout)
  const folder = path.join(layout.dataFolder, `${unfinishedPrefix}${randomUUID()}`)
  const passwordFile = `${folder}.password`
  try {
    await writeFile(passwordFile, `${adminPassword}\n`, { mode: 0o600 })
    await giveToServer(passwordFile, account)
    await makeServersFolder(folder, account)
    const args = [`--pgdata=${folder}`, `--username=${adminRole}`, `--pwfile=${passwordFile}`]
    args.push('--encoding=UTF8', '--locale=C')
    args.push('--locale-provider=builtin', '--builtin-locale=C.UTF-8')
    args.push('--data-checksums', '--auth=scram-sha-256', '--no-instructions')
    const context = { account, cwd: layout.dataFolder }
    const { code, output } = await runProgram(engine.initdb, args, context)
    if (code !== 0) throw initialiseFailed(layout, code, output)
    await rename(folder, layout.database)
    await syncFolder(layout.dataFolder)
  } catch (error) {
    await rm(folder, wholeFolder)
    throw inWords(error, layout.dataFolder)
  } finally {
    await rm(passwordFile, { force: true })
  }
}

/**
 * Sets the superuser's password without knowing the old one, in PostgreSQL's single-user mode,
 * for when the password file was lost. Who owns the files owns the data, so this opens no door.
 */
export async function resetAdminPassword(
  layout: Layout,
  account: Account,
  engine: Engine,
  password: string,
): Promise<void> {
  const statement = `ALTER ROLE ${adminRole} LOGIN PASSWORD '${password}'\n`
  const args = ['--single', '-D', layout.database, '-c', 'log_statement=none', 'postgres']
  const context = { account, cwd: layout.dataFolder }
  const { code, output } = await runProgram(engine.postgres, args, context, statement)
  if (code === 0 && !/ERROR:|FATAL:/.test(output)) return
  throw new EmbeddedDatabaseError(
    'server_failed',
    `The password file ${layout.secretsFile} is missing, and setting a new password failed. ` +
      `The data in ${layout.database} is untouched. PostgreSQL said: ${output.trim()}`,
  )
}

async function makeServersFolder(folder: string, account: Account): Promise<void> {
  await mkdir(folder, { mode: 0o700 })
  await giveToServer(folder, account)
}

async function removeUnfinished(layout: Layout): Promise<void> {
  for (const name of await readdir(layout.dataFolder)) {
    if (!name.startsWith(unfinishedPrefix)) continue
    await rm(path.join(layout.dataFolder, name), wholeFolder)
  }
}

/** Makes the new name itself durable. Windows cannot open folders and needs no such step. */
async function syncFolder(folder: string): Promise<void> {
  if (process.platform === 'win32') return
  const handle = await open(folder, 'r')
  try {
    await handle.sync()
  } finally {
    await handle.close()
  }
}

function initialiseFailed(layout: Layout, code: number | null, output: string): Error {
  if (/No space left on device|Disk quota exceeded/.test(output)) {
    return diskFull(layout.dataFolder, new Error(output))
  }
  return new EmbeddedDatabaseError(
    'initialise_failed',
    `PostgreSQL could not make a new database in ${layout.dataFolder} (initdb ended with ` +
      `${code}). What it had begun was removed. It said: ${output.trim()}`,
  )
}
