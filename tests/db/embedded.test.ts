// The embedded database opens, is set up for safety, keeps its data, and leaves nothing behind.
import { readFile, rm, stat, writeFile } from 'node:fs/promises'
import { createServer } from 'node:net'
import path from 'node:path'
import pg from 'pg'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { findEnginePackage } from '../../db/embedded/engine.ts'
import { layoutOf } from '../../db/embedded/folder.ts'
import { type EmbeddedDatabase, openEmbedded } from '../../db/embedded/open.ts'
import { look } from '../../db/embedded/processes.ts'
import {
  ask,
  clearAway,
  newFolder,
  preparedFolder,
  runningServerPid,
  serverPid,
  startChild,
} from './embedded-processes.ts'

afterAll(clearAway)

describe('an open embedded database', () => {
  let database: EmbeddedDatabase
  beforeAll(async () => {
    database = await openEmbedded({ dataFolder: await newFolder() })
  })
  afterAll(() => database.stop())

  const setting = async (name: string) => (await ask(database.urls.admin, `SHOW ${name}`))[0]?.[0]

  test('lets each of the four roles log in to the database canemark as itself', async () => {
    for (const key of ['owner', 'app', 'reader', 'admin'] as const) {
      const rows = await ask(
        database.urls[key],
        `SELECT current_database(), session_user, rolsuper FROM pg_roles
           WHERE rolname = session_user`,
      )
      expect(rows).toEqual([['canemark', `canemark_${key}`, String(key === 'admin')]])
    }
  })

  test('lets the owner make schemas and tables, and neither the app nor the reader', async () => {
    await ask(database.urls.owner, 'CREATE SCHEMA own')
    await ask(database.urls.owner, 'CREATE TABLE public.owned (id int)')
    for (const url of [database.urls.app, database.urls.reader]) {
      await expect(ask(url, 'CREATE SCHEMA mine')).rejects.toThrow(/permission denied/)
      await expect(ask(url, 'CREATE TABLE public.mine (id int)')).rejects.toThrow(/permission/)
    }
    await expect(ask(database.urls.reader, 'CREATE TEMP TABLE t (id int)')).rejects.toThrow(
      /permission denied/,
    )
  })

  test('waits for the disk on every commit and has checksums on every page', async () => {
    for (const name of ['fsync', 'synchronous_commit', 'full_page_writes', 'data_checksums']) {
      expect([name, await setting(name)]).toEqual([name, 'on'])
    }
  })

  test('keeps waiting for the disk when somebody switches that off with ALTER SYSTEM', async () => {
    await ask(database.urls.admin, 'ALTER SYSTEM SET fsync = off')
    await ask(database.urls.admin, 'SELECT pg_reload_conf()')
    await database.stop()
    database = await openEmbedded({ dataFolder: database.dataFolder })
    expect(await setting('fsync')).toBe('on')
  })

  test('is the major version of the package, in UTF-8, ordering by code point', async () => {
    const source = await findEnginePackage()
    expect(Number(await setting('server_version_num')) / 10_000).toBeCloseTo(source.major, 1)
    expect(await setting('server_encoding')).toBe('UTF8')
    const order = `SELECT word FROM (VALUES ('b'), ('á'), ('B'), ('a'), ('Z')) t (word)
      ORDER BY word`
    expect((await ask(database.urls.app, order)).flat()).toEqual(['B', 'Z', 'a', 'b', 'á'])
    expect(await ask(database.urls.app, `SELECT upper('ñandú')`)).toEqual([['ÑANDÚ']])
  })

  test('listens on 127.0.0.1 only', async () => {
    expect(await setting('listen_addresses')).toBe('127.0.0.1')
    const elsewhere = new URL(database.urls.app)
    elsewhere.hostname = '127.0.0.2'
    await expect(ask(elsewhere.href, 'SELECT 1')).rejects.toThrow(/ECONNREFUSED|EADDRNOTAVAIL/)
  })

  test('asks for the password, and stores it salted', async () => {
    const wrong = new URL(database.urls.admin)
    wrong.password = 'guess'
    await expect(ask(wrong.href, 'SELECT 1')).rejects.toMatchObject({ code: '28P01' })
    const methods = await ask(database.urls.admin, 'SELECT auth_method FROM pg_hba_file_rules')
    expect(new Set(methods.flat())).toEqual(new Set(['scram-sha-256']))
  })

  test('keeps the passwords in a file for its owner alone', async () => {
    const { secretsFile } = layoutOf(database.dataFolder)
    expect((await stat(secretsFile)).mode & 0o777).toBe(0o600)
    expect(await readFile(secretsFile, 'utf8')).toContain(new URL(database.urls.admin).password)
  })
})

describe('closing and opening again', () => {
  test('keeps data, passwords and port', async () => {
    const dataFolder = await preparedFolder()
    const first = await openEmbedded({ dataFolder })
    await ask(first.urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
    await first.stop()
    expect(await serverPid(dataFolder)).toBe(null)
    const second = await openEmbedded({ dataFolder })
    expect(await ask(second.urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])
    expect(second.urls).toEqual(first.urls)
    await second.stop()
    await second.stop()
  })

  test('takes another port when the last one is taken', async () => {
    const dataFolder = await preparedFolder()
    const first = await openEmbedded({ dataFolder })
    await first.stop()
    const port = Number(new URL(first.urls.app).port)
    const other = createServer()
    await new Promise<void>((resolve) => other.listen(port, '127.0.0.1', resolve))
    const second = await openEmbedded({ dataFolder })
    expect(new URL(second.urls.app).port).not.toBe(String(port))
    expect(await ask(second.urls.app, 'SELECT 1')).toEqual([['1']])
    await second.stop()
    await new Promise((resolve) => other.close(resolve))
  })

  test('works in a folder whose name has spaces, apostrophes and other scripts', async () => {
    const dataFolder = path.join(await newFolder(), `Año 1 & (Reben) d'été; #2 ~ 葡萄`)
    const database = await openEmbedded({ dataFolder })
    expect(await ask(database.urls.app, 'SELECT 1')).toEqual([['1']])
    await database.stop()
  })

  test('keeps the data when the password file was lost, and sets new passwords', async () => {
    const dataFolder = await preparedFolder()
    const first = await openEmbedded({ dataFolder })
    await ask(first.urls.owner, `CREATE TABLE kept AS SELECT 'wood' AS word`)
    await first.stop()
    await rm(layoutOf(dataFolder).secretsFile)
    const second = await openEmbedded({ dataFolder })
    expect(second.urls.owner).not.toBe(first.urls.owner)
    expect(await ask(second.urls.owner, 'SELECT word FROM kept')).toEqual([['wood']])
    await second.stop()
  })

  test('refuses a damaged password file by name and leaves it as it is', async () => {
    const dataFolder = await preparedFolder()
    const { secretsFile } = layoutOf(dataFolder)
    await (await openEmbedded({ dataFolder })).stop()
    await writeFile(secretsFile, '{"admin": "x"')
    const opening = openEmbedded({ dataFolder })
    await expect(opening).rejects.toMatchObject({ code: 'secrets_unreadable' })
    await expect(opening).rejects.toThrow(secretsFile)
    expect(await readFile(secretsFile, 'utf8')).toBe('{"admin": "x"')
    await rm(secretsFile)
    await (await openEmbedded({ dataFolder })).stop()
  })
})

describe('the server does not outlive the process that opened it', () => {
  for (const [mode, how] of [
    ['leave', 'has nothing left to do'],
    ['exit', 'calls process.exit'],
    ['throw', 'dies of an uncaught error'],
  ] as const) {
    test(`when that ${how}`, async () => {
      const dataFolder = await preparedFolder()
      const child = startChild(dataFolder, mode)
      const urls = await child.urls()
      await child.exited
      expect(await serverPid(dataFolder)).toBe(null)
      await expect(new pg.Client({ connectionString: urls.app }).connect()).rejects.toThrow(
        /ECONNREFUSED/,
      )
      const database = await openEmbedded({ dataFolder })
      await database.stop()
    })
  }

  test('and a server that is killed is reported in words to its process', async () => {
    const dataFolder = await preparedFolder()
    const database = await openEmbedded({ dataFolder })
    const pid = await runningServerPid(dataFolder)
    process.kill(pid, 'SIGKILL')
    expect(await database.lost).toMatchObject({ code: 'server_failed' })
    expect((await database.lost).message).toContain(dataFolder)
    await database.stop()
    const again = await openEmbedded({ dataFolder })
    expect(await look(pid)).toEqual({ state: 'gone' })
    expect(await ask(again.urls.app, 'SELECT 1')).toEqual([['1']])
    await again.stop()
  })
})
