// Where the embedded database keeps its files, and making that folder ready.
import { randomUUID } from 'node:crypto'
import { chmod, mkdir, readdir, realpath, rm, stat, writeFile } from 'node:fs/promises'
import { homedir } from 'node:os'
import path from 'node:path'
import { EmbeddedDatabaseError, inWords, systemCode } from './errors.ts'

/** Every path the embedded database uses, all below `dataFolder`. */
export type Layout = {
  dataFolder: string
  /** The cluster itself (PGDATA). */
  database: string
  /** Copies of the server's programs, one folder per package version. */
  engines: string
  /** One file per Node process that holds or wants the folder. */
  claims: string
  secretsFile: string
  portFile: string
  logFile: string
}

/**
 * The folder Canemark keeps its data in when nothing else is said: `CANEMARK_DATA` when set;
 * for root on unix `/var/lib/canemark`; else the place the platform has for a user's data
 * (XDG base directory specification 0.8; a relative `XDG_DATA_HOME` is ignored, as it says).
 */
export function defaultDataFolder(
  platform: NodeJS.Platform,
  env: Record<string, string | undefined>,
  isRoot: boolean,
): string {
  if (env.CANEMARK_DATA) return env.CANEMARK_DATA
  if (platform === 'win32') {
    const local = env.LOCALAPPDATA
    if (local) return path.win32.join(local, 'Canemark')
    return path.win32.join(env.USERPROFILE || homedir(), 'AppData', 'Local', 'Canemark')
  }
  if (isRoot) return '/var/lib/canemark'
  const home = env.HOME || homedir()
  if (platform === 'darwin') {
    return path.posix.join(home, 'Library', 'Application Support', 'Canemark')
  }
  const xdg = env.XDG_DATA_HOME
  if (xdg && path.posix.isAbsolute(xdg)) return path.posix.join(xdg, 'canemark')
  return path.posix.join(home, '.local', 'share', 'canemark')
}

/** The paths below a data folder. */
export function layoutOf(dataFolder: string): Layout {
  return {
    dataFolder,
    database: path.join(dataFolder, 'database'),
    engines: path.join(dataFolder, 'engine'),
    claims: path.join(dataFolder, 'claims'),
    secretsFile: path.join(dataFolder, 'passwords.json'),
    portFile: path.join(dataFolder, 'port'),
    logFile: path.join(dataFolder, 'postgres.log'),
  }
}

/**
 * Makes the data folder when it is not there and proves that this process may write in it.
 * Throws `folder_name`, `folder_not_writable` or `disk_full`.
 */
export async function prepareFolder(dataFolder: string): Promise<Layout> {
  const wanted = path.resolve(dataFolder)
  refuseShellCharacters(wanted)
  try {
    await makeFolder(wanted)
    const folder = await realpath(wanted)
    refuseShellCharacters(folder)
    const trial = path.join(folder, `.write-trial-${randomUUID()}`)
    await writeFile(trial, 'x')
    await rm(trial)
    return layoutOf(folder)
  } catch (error) {
    const code = systemCode(error)
    if (code === 'EEXIST' || code === 'ENOTDIR') {
      throw new EmbeddedDatabaseError(
        'folder_not_writable',
        `The data folder ${wanted} cannot be made: a file stands in its way. ` +
          `Move the file, or name another folder with CANEMARK_DATA.`,
        { cause: error },
      )
    }
    throw inWords(error, wanted)
  }
}

/**
 * PostgreSQL's initdb hands its own path to a shell between double quotes, where these characters
 * would still act: a folder's name could run a command.
 */
function refuseShellCharacters(folder: string): void {
  const acting = process.platform === 'win32' ? /[%"\r\n]/ : /["$`\\\r\n]/
  const found = acting.exec(folder)
  if (!found) return
  throw new EmbeddedDatabaseError(
    'folder_name',
    `The data folder ${folder} has the character ${JSON.stringify(found[0])} in its path, which ` +
      `PostgreSQL's programs do not handle safely. Spaces, accents and other scripts are fine. ` +
      `Name another folder with CANEMARK_DATA.`,
  )
}

/**
 * An ordinary user's folder is theirs alone; root's must let the server's user pass through, who
 * can still not list it. A folder that holds other things than ours keeps its mode.
 */
async function makeFolder(folder: string): Promise<void> {
  const firstMade = await mkdir(folder, { recursive: true })
  const isRoot = process.getuid?.() === 0
  if (firstMade === undefined) {
    if (!isRoot) return
    const names = await readdir(folder)
    const isOurs = names.length === 0 || names.includes('claims')
    if (isOurs) await chmod(folder, (await stat(folder)).mode | 0o011)
    return
  }
  if (!isRoot) return chmod(folder, 0o700)
  for (let at = folder; ; at = path.dirname(at)) {
    await chmod(at, 0o755)
    if (at === firstMade || at === path.dirname(at)) return
  }
}

/** Whether something exists at this path. */
export async function exists(at: string): Promise<boolean> {
  try {
    await stat(at)
    return true
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return false
    throw error
  }
}
