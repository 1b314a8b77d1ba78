// Chooses the system user that the database server runs as; Postgres refuses to run as root.
import { execFile, spawn } from 'node:child_process'
import { lchown, stat } from 'node:fs/promises'
import path from 'node:path'
import { promisify } from 'node:util'
import { EmbeddedDatabaseError, systemCode } from './errors.ts'
import type { Layout } from './folder.ts'

const run = promisify(execFile)

/** A user and group of the operating system. */
export type SystemUser = { uid: number; gid: number; name: string }

/**
 * Who owns what. Both null: everything belongs to the user who started Canemark.
 * As root, the server runs as `server`, and files outside the database go to `files`.
 */
export type Account = { server: SystemUser | null; files: { uid: number; gid: number } | null }

/** Tried in this order when root opens a new folder of its own. */
const candidateNames = ['canemark', '_postgres', 'postgres', 'nobody']

/**
 * Chooses the account. As an ordinary user and on Windows: the user's own. As root: whoever owns
 * the database already, else whoever owns the data folder, else the first account that exists of
 * `canemark` (made for this by the administrator), `_postgres` or `postgres` (made for a database
 * server), `nobody` (exists everywhere; safe where no other service runs as it).
 * Throws `server_account` or `folder_not_passable`.
 */
export async function chooseAccount(layout: Layout): Promise<Account> {
  if (process.getuid?.() !== 0) return { server: null, files: null }
  const folder = await stat(layout.dataFolder)
  const files = { uid: folder.uid, gid: folder.gid }
  const server =
    (await ownerOf(layout.database)) ?? (await ownerOf(layout.dataFolder)) ?? (await candidate())
  if (!server) {
    throw new EmbeddedDatabaseError(
      'server_account',
      `PostgreSQL refuses to run as root, and none of the users ${candidateNames.join(', ')} ` +
        `exists here to run it. Make one (useradd --system canemark) or start Canemark as an ` +
        `ordinary user.`,
    )
  }
  await provePassable(layout.dataFolder, server)
  return { server, files }
}

/** The spawn options that make a program run as the server's user. */
export function spawnAs(account: Account): { uid?: number; gid?: number } {
  return account.server ? { uid: account.server.uid, gid: account.server.gid } : {}
}

/** Gives a path to the server's user; nothing to do when that is us. */
export async function giveToServer(at: string, account: Account): Promise<void> {
  if (account.server) await lchown(at, account.server.uid, account.server.gid)
}

/** Gives a path to the owner of the data folder; nothing to do when that is us. */
export async function giveToFolderOwner(at: string, account: Account): Promise<void> {
  if (account.files) await lchown(at, account.files.uid, account.files.gid)
}

async function ownerOf(at: string): Promise<SystemUser | null> {
  try {
    const { uid, gid } = await stat(at)
    return uid === 0 ? null : { uid, gid, name: `user ${uid}` }
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return null
    throw error
  }
}

async function candidate(): Promise<SystemUser | null> {
  for (const name of candidateNames) {
    const uid = await idOf('-u', name)
    const gid = await idOf('-g', name)
    if (uid !== null && gid !== null && uid !== 0) return { uid, gid, name }
  }
  return null
}

/** Asks `id`, which also knows users from a directory service; | 0 because nobody may be -2. */
async function idOf(flag: '-u' | '-g', name: string): Promise<number | null> {
  try {
    const { stdout } = await run('id', [flag, name])
    const id = Number(stdout.trim())
    return Number.isInteger(id) ? id | 0 : null
  } catch {
    return null
  }
}

/** Tries to enter the folder as the server's user, and names the first ancestor that is shut. */
async function provePassable(folder: string, user: SystemUser): Promise<void> {
  if (await canEnter(folder, user)) return
  const ancestors: string[] = []
  for (let at = folder; ; at = path.dirname(at)) {
    ancestors.unshift(at)
    if (at === path.dirname(at)) break
  }
  for (const at of ancestors) {
    if (await canEnter(at, user)) continue
    throw new EmbeddedDatabaseError(
      'folder_not_passable',
      `Canemark was started by root, so PostgreSQL runs as ${user.name}, who may not enter ` +
        `${at} on the way to the data folder ${folder}. Name a folder that everybody may pass ` +
        `through with CANEMARK_DATA (for example /var/lib/canemark), or allow it: chmod o+x ${at}`,
    )
  }
}

function canEnter(folder: string, user: SystemUser): Promise<boolean> {
  return new Promise((resolve, reject) => {
    const child = spawn('/bin/sh', ['-c', 'cd "$1"', 'sh', folder], {
      uid: user.uid,
      gid: user.gid,
      cwd: '/',
      stdio: 'ignore',
    })
    child.on('error', (error) =>
      reject(
        new EmbeddedDatabaseError(
          'server_account',
          `PostgreSQL refuses to run as root, and this system does not let root start a program ` +
            `as ${user.name} (${systemCode(error)}). Start Canemark as an ordinary user.`,
          { cause: error },
        ),
      ),
    )
    child.on('exit', (code) => resolve(code === 0))
  })
}
