// One live process per data folder, whatever an earlier one has left behind.
import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { chown, readFile, readdir, stat, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, describe, expect, test } from 'vitest'
import { layoutOf } from '../../db/embedded/folder.ts'
import { openEmbedded } from '../../db/embedded/open.ts'
import { isStill, look, lookByPs } from '../../db/embedded/processes.ts'
import {
  Child,
  ask,
  childArguments,
  childrenOf,
  clearAway,
  isRoot,
  killHard,
  newFolder,
  preparedFolder,
  repository,
  runningServerPid,
  startChild,
  untilGone,
} from './embedded-processes.ts'

const bystanders: number[] = []
afterAll(async () => {
  await killHard(bystanders)
  await clearAway()
})

describe('two live processes never hold one folder', () => {
  test('the second is refused, naming folder and first process, which goes on', async () => {
    const dataFolder = await preparedFolder()
    const first = startChild(dataFolder, 'hold')
    const urls = await first.urls()
    const second = await startChild(dataFolder, 'hold').answer()
    expect(second).toMatchObject({ event: 'refused', code: 'folder_in_use' })
    expect(second.message).toContain(`process ${first.process.pid} `)
    expect(second.message).toContain(dataFolder)
    expect(await ask(urls.app, 'SELECT 1')).toEqual([['1']])
    await first.stop()
  })

  test('nor does one process hold it twice', async () => {
    const dataFolder = await preparedFolder()
    const database = await openEmbedded({ dataFolder })
    const second = openEmbedded({ dataFolder })
    await expect(second).rejects.toMatchObject({ code: 'folder_in_use' })
    await expect(second).rejects.toThrow(`process ${process.pid} `)
    expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
    await database.stop()
  })

  test('of six that open at the same moment exactly one gets it', async () => {
    const dataFolder = await preparedFolder()
    for (let round = 0; round < 3; round += 1) {
      const openings = Array.from({ length: 6 }, () => openEmbedded({ dataFolder }))
      const results = await Promise.allSettled(openings)
      const opened = results.flatMap((r) => (r.status === 'fulfilled' ? [r.value] : []))
      const codes = results.flatMap((r) => (r.status === 'rejected' ? [codeOf(r.reason)] : []))
      expect([opened.length, codes]).toEqual([1, Array(5).fill('folder_in_use')])
      for (const database of opened) await database.stop()
    }
    expect(await readdir(layoutOf(dataFolder).claims)).toEqual([])
  })

  test('the claim of a dead process does not count, even when its id lives again', async () => {
    const dataFolder = await preparedFolder()
    const { claims } = layoutOf(dataFolder)
    const child = startChild(dataFolder, 'hold')
    await child.urls()
    const pid = await runningServerPid(dataFolder)
    await child.kill()
    const [name = ''] = (await readdir(claims)).filter((file) => file.endsWith('.claim'))
    const file = path.join(claims, name)
    const claim = JSON.parse(await readFile(file, 'utf8')) as Record<string, unknown>
    await writeFile(file, JSON.stringify({ ...claim, pid: bystander() }))
    const database = await openEmbedded({ dataFolder })
    expect(await look(pid)).toEqual({ state: 'gone' })
    await database.stop()
  })
})

describe('after a kill -9 of Node alone', () => {
  test('the orphaned server is stopped cleanly and nothing is lost', async () => {
    const dataFolder = await preparedFolder()
    const child = startChild(dataFolder, 'hold')
    const urls = await child.urls()
    await ask(urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
    const orphan = await runningServerPid(dataFolder)
    await child.kill()
    expect((await look(orphan)).state).toBe('alive')
    expect(await ask(urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])

    const lines: string[] = []
    const database = await openEmbedded({ dataFolder, log: (line) => lines.push(line) })
    expect(await look(orphan)).toEqual({ state: 'gone' })
    expect(await runningServerPid(dataFolder)).not.toBe(orphan)
    expect(lines.join('\n')).toContain(`stopping the PostgreSQL server ${orphan}`)
    expect(await readFile(layoutOf(dataFolder).logFile, 'utf8')).not.toContain('recovery')
    expect(await ask(database.urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])
    await database.stop()
  })

  test('of several that then open at once, one takes over and the others are refused', async () => {
    const dataFolder = await preparedFolder()
    const child = startChild(dataFolder, 'hold')
    await child.urls()
    await child.kill()
    const successors = [1, 2, 3].map(() => startChild(dataFolder, 'hold'))
    const answers = await Promise.all(successors.map((successor) => successor.answer()))
    const events = answers.map((answer) => answer.event).sort()
    expect(events).toEqual(['open', 'refused', 'refused'])
    for (const successor of successors) await successor.stop()
  })
})

describe('a first start that was cut off by kill -9 is simply done again', () => {
  for (const [moment, line] of [
    ['while the programs were copied', 'copying the PostgreSQL'],
    ['while the database was made', 'making a new database'],
  ] as const) {
    test(moment, async () => {
      const dataFolder = await newFolder()
      const child = startChild(dataFolder, 'hold')
      await child.until((message) => message.line?.includes(line) ?? false)
      await child.kill()
      const database = await openEmbedded({ dataFolder })
      expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
      await database.stop()
    })
  }
})

describe('after a kill -9 of server and Node', () => {
  test('opening waits until the last process of the killed server is gone', async () => {
    const dataFolder = await preparedFolder()
    const child = startChild(dataFolder, 'hold')
    const urls = await child.urls()
    await ask(urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
    const server = await runningServerPid(dataFolder)
    const [backend = 0] = childrenOf(server)
    // A stopped process cannot notice that its server died, so it keeps the memory attached.
    process.kill(backend, 'SIGSTOP')
    process.kill(server, 'SIGKILL')
    await child.kill()

    const events: string[] = []
    const opening = openEmbedded({ dataFolder }).then((database) => {
      events.push('opened')
      return database
    })
    const { logFile } = layoutOf(dataFolder)
    while (!(await readFile(logFile, 'utf8')).includes('pre-existing shared memory block')) {
      await sleep(20)
    }
    events.push('let go')
    process.kill(backend, 'SIGCONT')
    const database = await opening
    expect(events).toEqual(['let go', 'opened'])
    expect(await look(backend)).toEqual({ state: 'gone' })
    expect(await ask(database.urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])
    await database.stop()
  })

  test('a stale postmaster.pid is no hindrance, nor is whoever has its number now', async () => {
    const dataFolder = await preparedFolder()
    const { database: cluster } = layoutOf(dataFolder)
    const pidFile = path.join(cluster, 'postmaster.pid')
    // Only a process of the server's own user would make PostgreSQL refuse to start.
    const { uid, gid } = await stat(cluster)
    const other = bystander({ uid, gid })
    for (const text of [
      '',
      'nonsense\n',
      `${other}\n${cluster}\n1\n5432\n\n127.0.0.1\n1 1\nready\n`,
    ]) {
      await writeFile(pidFile, text, { mode: 0o600 })
      await chown(pidFile, uid, gid)
      const database = await openEmbedded({ dataFolder })
      expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
      await database.stop()
      expect((await look(other)).state).toBe('alive')
    }
  })
})

// Process ids of another container mean nothing here; root can make such a place.
if (isRoot && existsSync('/proc/self/ns/pid')) {
  test('a folder held in another container is refused while that lives, not after', async () => {
    const dataFolder = await preparedFolder()
    const flags = ['--pid', '--fork', '--kill-child', '--mount-proc', process.execPath]
    const contained = new Child('unshare', [...flags, ...childArguments(dataFolder, 'hold')], {
      cwd: repository,
    })
    const urls = await contained.urls()
    const refused = await startChild(dataFolder, 'hold').answer()
    expect(refused).toMatchObject({ event: 'refused', code: 'folder_in_use' })
    expect(await ask(urls.app, 'SELECT 1')).toEqual([['1']])
    await contained.kill()
    const database = await openEmbedded({ dataFolder })
    expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
    await database.stop()
  })
}

describe('a process is told from a later one with the same number', () => {
  for (const [name, lookUp] of [
    ['by what this system offers first', look],
    ['by ps, as on macOS', lookByPs],
  ] as const) {
    test(name, async () => {
      const pid = bystander()
      const seen = await lookUp(pid)
      if (seen.state === 'gone') throw new Error('the bystander is gone')
      expect(await lookUp(pid)).toEqual(seen)
      expect(seen.commandLine).toMatch(/^sleep /)
      expect(seen.identity).toMatch(/\d/)
      await killHard([pid])
      await untilGone(pid)
      expect(await lookUp(pid)).toEqual({ state: 'gone' })
    })
  }

  test('an other start time is another process', async () => {
    const seen = await look(process.pid)
    const identity = seen.state === 'alive' ? seen.identity : null
    expect(await isStill(process.pid, identity)).toBe(true)
    expect(await isStill(process.pid, `${identity}0`)).toBe(false)
  })
})

/** A live process that has nothing to do with any database. */
function bystander(user: { uid?: number; gid?: number } = {}): number {
  const { pid } = spawn('sleep', ['600'], { stdio: 'ignore', ...user })
  if (pid === undefined) throw new Error('sleep did not start')
  bystanders.push(pid)
  return pid
}

function codeOf(error: unknown): unknown {
  return error instanceof Error && 'code' in error ? error.code : error
}
