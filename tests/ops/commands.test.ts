// Commands beside a running server: they join it, tell in words, and end with code 1 on failure.
import { execFile } from 'node:child_process'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sql } from 'kysely'
import { joinDatabase } from '../../db/choose.ts'
import { recordSeason } from './recorded-season.ts'
import { freshDatabase } from '../database.ts'
import { clearAway, preparedFolder, startChild } from '../db/embedded-processes.ts'
import { killServers, ServerProcess } from '../faults/server-process.ts'

const run = promisify(execFile)
const repository = path.resolve(import.meta.dirname, '../..')
let environment: { CANEMARK_DATA: string }
let server: ServerProcess
let work: string

beforeAll(async () => {
  work = await mkdtemp(path.join(tmpdir(), 'canemark-commands-'))
  environment = { CANEMARK_DATA: await preparedFolder() }
  server = await ServerProcess.start(environment)
  const database = await joinDatabase(environment)
  await recordSeason(database.app.db, 27_600, 300)
  await database.close()
})
afterAll(async () => {
  await killServers()
  await clearAway()
  await rm(work, { recursive: true, force: true })
})

type Ended = { code: number; stdout: string; stderr: string }

/** Runs one command as `npm run` would. */
async function command(
  name: string,
  args: string[] = [],
  where: Record<string, string> = environment,
): Promise<Ended> {
  const { PATH = '', TMPDIR } = process.env
  const all = ['--import', 'tsx', `api/journal/cli-${name}.ts`, ...args]
  const options = { cwd: repository, env: { PATH, TMPDIR, ...where } }
  try {
    return { code: 0, ...(await run(process.execPath, all, options)) }
  } catch (error) {
    const { code, stdout, stderr } = error as Ended
    return { code, stdout, stderr }
  }
}

describe('while the server runs on the embedded database', () => {
  it('verify joins it, prints counts, and the server goes on', async () => {
    const { code, stdout, stderr } = await command('verify')
    expect({ code, stderr }).toEqual({ code: 0, stderr: expect.stringContaining('is running') })
    expect(stdout).toMatch(/^all holds: 3\d\d entries, 3 of them signed by their device; /)
    expect(await server.answers()).toBe(true)
  })

  it('backup joins it, and restore fills another database from it', async () => {
    const folder = path.join(work, 'night')
    const made = await command('backup', [folder])
    expect(made).toMatchObject({ code: 0, stdout: expect.stringContaining('3') })
    const again = await command('backup', [folder])
    expect(again).toMatchObject({ code: 1, stderr: expect.stringContaining('exists already') })
    const empty = await freshDatabase()
    try {
      const back = await command('restore', [folder], { DATABASE_URL: empty.url })
      expect(back).toMatchObject({ code: 0, stdout: expect.stringContaining('all holds: 3') })
      const twice = await command('restore', [folder], { DATABASE_URL: empty.url })
      expect(twice).toMatchObject({ code: 1, stderr: expect.stringContaining('is in use') })
    } finally {
      await empty.drop()
    }
  })

  it('verify tells the first difference on one line and ends with code 1', async () => {
    const database = await joinDatabase(environment)
    await sql`update graft set bud_count = 9
      where entry_id = (select entry_id from graft order by entry_id limit 1)`.execute(
      database.owner.db,
    )
    await database.close()
    const { code, stdout, stderr } = await command('verify')
    expect({ code, stdout }).toEqual({ code: 1, stdout: '' })
    expect(stderr).toMatch(
      /^NOT RIGHT: entry \d+ \(graft\.made, .*\): table graft: bud_count is 9 and should be [12]$/m,
    )
    expect((await command('rebuild')).code).toBe(0)
    expect((await command('verify')).code).toBe(0)
  })

  it('a command without its folder tells how to call it and ends with code 2', async () => {
    const { code, stderr } = await command('backup')
    expect({ code, stderr }).toEqual({ code: 2, stderr: 'call it as: npm run backup -- FOLDER\n' })
  })
})

it('a command of a newer program does not change the tables under an older server', async () => {
  const dataFolder = await preparedFolder()
  const child = startChild(dataFolder, 'hold')
  await child.urls()
  const { code, stderr } = await command('verify', [], { CANEMARK_DATA: dataFolder })
  expect(code).toBe(1)
  expect(stderr).toContain('the running Canemark is older than this one (0001_journal')
  await child.stop()
})
