// The commands that carry a journal from one database to another, run as a person runs them.
import { execFile } from 'node:child_process'
import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { leafHash } from '../../api/journal/canonical.ts'
import { exportToFile, importFromFile } from '../../api/journal/file.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { factsSnapshot } from '../sim/facts-snapshot.ts'
import { randomSeason } from '../sim/season.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))
let folder: string
let full: TestDatabase
let empty: TestDatabase

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'canemark-journal-'))
  ;[full, empty] = await Promise.all([freshDatabase(), freshDatabase()])
  const entries = randomSeason(12, 60, 1)
  await ingest(full.app.db, entries[0]?.device ?? '', entries)
  await settleFindings(full.app.db)
})
afterAll(async () => {
  await Promise.all([full.drop(), empty.drop()])
  await rm(folder, { recursive: true, force: true })
})

type Run = { code: number; out: string; error: string }

function run(command: 'export' | 'import' | 'rebuild', url: string, ...args: string[]) {
  const program = ['--import', 'tsx', join('api', 'journal', `cli-${command}.ts`), ...args]
  const env = { ...process.env, DATABASE_URL: url }
  return new Promise<Run>((resolve) => {
    execFile(process.execPath, program, { cwd: root, env }, (error, out, stderr) => {
      const code = error === null ? 0 : Number(error.code ?? -1)
      resolve({ code, out, error: stderr })
    })
  })
}

it('export, import and rebuild carry a journal over, and say what they did', async () => {
  const file = join(folder, 'journal.ndjson')
  const exported = await run('export', full.url, file)
  expect(exported).toMatchObject({ code: 0 })
  expect(exported.out).toMatch(/^60 entries are in .*journal\.ndjson: \d+ bytes, SHA-256 [0-9a-f]+/)
  expect(exported.error).toContain('working on the PostgreSQL at')
  expect(await readdir(folder)).toEqual(['journal.ndjson'])

  const imported = await run('import', empty.url, file)
  expect(imported).toMatchObject({ code: 0 })
  expect(imported.out).toMatch(/^60 entries came in from /)
  expect(await factsSnapshot(empty.app.db)).toEqual(await factsSnapshot(full.app.db))

  const again = await run('import', empty.url, file)
  expect(again).toMatchObject({ code: 1, out: '' })
  expect(again.error).toContain('already holds 60 entries')
  expect(again.error).not.toContain('    at ')

  const rebuilt = await run('rebuild', empty.url)
  expect(rebuilt).toMatchObject({ code: 0 })
  expect(rebuilt.out).toMatch(/^60 entries were read again/)
  expect(await factsSnapshot(empty.app.db)).toEqual(await factsSnapshot(full.app.db))
})

it('a command called without its file says how to call it', async () => {
  const called = await run('export', full.url)
  expect(called).toMatchObject({ code: 2, out: '' })
  expect(called.error).toContain('npm run export -- FILE')
})

it('an export writes over no file, and leaves nothing half-written behind', async () => {
  const file = join(folder, 'kept.txt')
  await writeFile(file, 'mine')
  await expect(exportToFile(full.reader.db, file)).rejects.toThrow('choose another name')
  expect(await readFile(file, 'utf8')).toBe('mine')
  const nowhere = join(folder, 'no such folder', 'journal.ndjson')
  await expect(exportToFile(full.reader.db, nowhere)).rejects.toThrow(/ENOENT/)
  expect((await readdir(folder)).filter((name) => name.includes('unfinished'))).toEqual([])
})

it('importing a file that is not there says so', async () => {
  const nothing = await freshDatabase()
  try {
    const missing = join(folder, 'missing.ndjson')
    await expect(importFromFile(nothing.owner.db, missing)).rejects.toThrow('there is no file')
  } finally {
    await nothing.drop()
  }
})

it('a line can be checked by the recipe in the description of the format', async () => {
  const file = join(folder, 'recipe.ndjson')
  await exportToFile(full.reader.db, file)
  for (const line of (await readFile(file, 'utf8')).split('\n').slice(0, -2)) {
    const { leafHash: told } = JSON.parse(line) as { leafHash: string }
    const entry = line.slice(line.indexOf(',"entry":') + ',"entry":'.length, -1)
    expect(leafHash(Buffer.from(entry, 'utf8')).toString('hex')).toBe(told)
  }
  const guide = await readFile(join(root, 'docs', 'journal-format.md'), 'utf8')
  const recipe = /```\n(sed .*)\n```/.exec(guide)?.[1]?.replace('FILE', `'${file}'`) ?? ''
  const shown = await new Promise<string>((resolve, reject) => {
    execFile('sh', ['-c', recipe], (error, out) => (error === null ? resolve(out) : reject(error)))
  })
  const [first = ''] = (await readFile(file, 'utf8')).split('\n')
  expect(shown.slice(0, 64)).toBe((JSON.parse(first) as { leafHash: string }).leafHash)
})
