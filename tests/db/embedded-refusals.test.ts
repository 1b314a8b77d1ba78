// What cannot be opened is refused in words that say what, where and how to mend it.
import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { chmod, mkdir, readFile, readdir, rm, stat, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { defaultDataFolder, layoutOf } from '../../db/embedded/folder.ts'
import { openEmbedded } from '../../db/embedded/open.ts'
import {
  ask,
  clearAway,
  isRoot,
  newFolder,
  ordinaryUser,
  startChild,
} from './embedded-processes.ts'

const mounts: string[] = []
afterAll(async () => {
  for (const at of mounts) execFileSync('umount', ['--lazy', at])
  await clearAway()
})

describe('the default data folder', () => {
  const home = { HOME: '/home/ana', LOCALAPPDATA: 'C:\\Users\\Ana\\AppData\\Local' }

  test('is where each platform keeps the data of a user, and of the machine for root', () => {
    expect(defaultDataFolder('linux', home, false)).toBe('/home/ana/.local/share/canemark')
    expect(defaultDataFolder('linux', { ...home, XDG_DATA_HOME: '/data' }, false)).toBe(
      '/data/canemark',
    )
    expect(defaultDataFolder('darwin', home, false)).toBe(
      '/home/ana/Library/Application Support/Canemark',
    )
    expect(defaultDataFolder('win32', home, false)).toBe('C:\\Users\\Ana\\AppData\\Local\\Canemark')
    expect(defaultDataFolder('win32', { USERPROFILE: 'D:\\Ana' }, false)).toBe(
      'D:\\Ana\\AppData\\Local\\Canemark',
    )
    expect(defaultDataFolder('linux', home, true)).toBe('/var/lib/canemark')
    expect(defaultDataFolder('darwin', home, true)).toBe('/var/lib/canemark')
  })

  test('ignores a relative XDG_DATA_HOME, as the XDG specification demands', () => {
    expect(defaultDataFolder('linux', { ...home, XDG_DATA_HOME: 'data' }, false)).toBe(
      '/home/ana/.local/share/canemark',
    )
  })

  test('is what CANEMARK_DATA says, on every platform and for root', () => {
    for (const platform of ['linux', 'darwin', 'win32'] as const) {
      for (const root of [true, false]) {
        expect(defaultDataFolder(platform, { ...home, CANEMARK_DATA: '/srv/c' }, root)).toBe(
          '/srv/c',
        )
      }
    }
  })
})

describe('a data folder that cannot be used is refused by name', () => {
  test('when the user may not write in it', async () => {
    const dataFolder = await newFolder()
    await chmod(dataFolder, 0o555)
    const child = startChild(dataFolder, 'hold', isRoot ? { user: ordinaryUser } : {})
    const answer = await child.answer()
    expect(answer).toMatchObject({ event: 'refused', code: 'folder_not_writable' })
    expect(answer.message).toContain(dataFolder)
    expect(await readdir(dataFolder)).toEqual([])
  })

  test('when a file stands in its way', async () => {
    const file = path.join(await newFolder(), 'file')
    await writeFile(file, 'mine')
    for (const dataFolder of [file, path.join(file, 'below')]) {
      const opening = openEmbedded({ dataFolder })
      await expect(opening).rejects.toMatchObject({ code: 'folder_not_writable' })
      await expect(opening).rejects.toThrow(dataFolder)
    }
    expect(await readFile(file, 'utf8')).toBe('mine')
  })

  test('when its name would act in a shell, before anything is made', async () => {
    const parent = await newFolder()
    for (const name of ['$HOME', '`touch x`', 'a"b', 'a\\b']) {
      const opening = openEmbedded({ dataFolder: path.join(parent, name) })
      await expect(opening).rejects.toMatchObject({ code: 'folder_name' })
    }
    expect(await readdir(parent)).toEqual([])
  })

  test('when it holds a folder named database that is none of ours', async () => {
    const dataFolder = await newFolder()
    const { database } = layoutOf(dataFolder)
    await mkdir(database)
    await writeFile(path.join(database, 'letters.txt'), 'mine')
    const opening = openEmbedded({ dataFolder })
    await expect(opening).rejects.toMatchObject({ code: 'folder_not_ours' })
    await expect(opening).rejects.toThrow(database)
    expect(await readdir(database)).toEqual(['letters.txt'])
  })

  test('when another major version made it, and not one byte of the data changes', async () => {
    const dataFolder = await newFolder()
    const { database } = layoutOf(dataFolder)
    const first = await openEmbedded({ dataFolder })
    await ask(first.urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
    await first.stop()
    const versionFile = path.join(database, 'PG_VERSION')
    const own = await readFile(versionFile, 'utf8')
    await writeFile(versionFile, '17\n')
    const before = await fingerprint(database)
    const opening = openEmbedded({ dataFolder })
    await expect(opening).rejects.toMatchObject({ code: 'other_major_version' })
    await expect(opening).rejects.toThrow(/PostgreSQL 17.*PostgreSQL 18.*export the journal/)
    await expect(opening).rejects.toThrow(dataFolder)
    expect(await fingerprint(database)).toEqual(before)
    await writeFile(versionFile, own)
    const again = await openEmbedded({ dataFolder })
    expect(await ask(again.urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])
    await again.stop()
  })
})

test('a copy of the programs that lost a library is refused with how to mend it', async () => {
  const dataFolder = await newFolder()
  await (await openEmbedded({ dataFolder })).stop()
  const { engines } = layoutOf(dataFolder)
  const copy = path.join(engines, (await readdir(engines))[0] ?? '')
  const libraries = path.join(copy, 'lib')
  const lost = (await readdir(libraries)).filter((name) => name.startsWith('libicui18n'))
  expect(lost.length).toBeGreaterThan(0)
  for (const name of lost) await rm(path.join(libraries, name))
  const opening = openEmbedded({ dataFolder })
  await expect(opening).rejects.toMatchObject({ code: 'engine_not_runnable' })
  await expect(opening).rejects.toThrow(`Delete that folder`)
  await rm(copy, { recursive: true })
  await (await openEmbedded({ dataFolder })).stop()
})

// Only root may mount a small disk, so only root's run has these.
if (isRoot && process.platform === 'linux') {
  describe('on a small disk', () => {
    const disk = async (options: string) => {
      const at = path.join(await newFolder(), 'disk')
      await mkdir(at)
      execFileSync('mount', ['-t', 'tmpfs', '-o', `${options},mode=755`, 'tmpfs', at])
      mounts.push(at)
      return at
    }

    for (const [what, megabytes] of [
      ['the programs', 30],
      ['a new database', 85],
    ] as const) {
      test(`no room for ${what} is said so, and with room the folder opens`, async () => {
        const at = await disk(`size=${megabytes}m`)
        const opening = openEmbedded({ dataFolder: at })
        await expect(opening).rejects.toMatchObject({ code: 'disk_full' })
        await expect(opening).rejects.toThrow(at)
        execFileSync('mount', ['-o', 'remount,size=600m', at])
        const database = await openEmbedded({ dataFolder: at })
        expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
        await database.stop()
        const left = await readdir(at)
        expect(left.filter((name) => name.includes('unfinished'))).toEqual([])
      })
    }

    test('a disk on which no program may run is said so', async () => {
      const at = await disk('size=600m,noexec')
      const opening = openEmbedded({ dataFolder: at })
      await expect(opening).rejects.toMatchObject({ code: 'engine_not_runnable' })
      await expect(opening).rejects.toThrow(/noexec/)
    })
  })
}

/** A hash over every file's path, content and time of change. */
async function fingerprint(folder: string): Promise<string> {
  const hash = createHash('sha256')
  const entries = await readdir(folder, { recursive: true, withFileTypes: true })
  const files = entries.filter((entry) => entry.isFile())
  const names = files.map((entry) => path.join(entry.parentPath, entry.name)).sort()
  for (const name of names) {
    hash.update(`${name} ${(await stat(name)).mtimeMs}\n`)
    hash.update(await readFile(name))
  }
  return hash.digest('hex')
}
