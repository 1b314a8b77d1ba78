// A backup is whole or not there, and what is restored from it is the same to the byte.
import { execFileSync } from 'node:child_process'
import { cp, mkdtemp, readFile, readdir, rm, stat, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { backup } from '../../api/journal/backup.ts'
import { backedUpTables, leftOutTables } from '../../api/journal/backup-tables.ts'
import { countTables } from '../../api/journal/count-entries.ts'
import { factTables } from '../../api/journal/fact-rows.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { restore } from '../../api/journal/restore.ts'
import { verify } from '../../api/journal/verify.ts'
import { makeAuditLink } from '../../api/people/audit-links.ts'
import { hashPassword, isPassword } from '../../api/people/passwords.ts'
import { beginSession } from '../../api/people/sessions.ts'
import { newId } from '../../api/platform/clock.ts'
import { hashToken, newToken } from '../../api/platform/token.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { factsSnapshot } from '../sim/facts-snapshot.ts'
import { randomSeason } from '../sim/season.ts'
import { recordSeason } from './recorded-season.ts'

const madeAt = new Date('2027-03-01T01:30:00Z')
const password = 'seven grafts before breakfast'
const personId = newId()
const machineToken = newToken()
let origin: TestDatabase
let target: TestDatabase
let workFolder: string
let folder: string
let entryCount: number

beforeAll(async () => {
  workFolder = await mkdtemp(path.join(tmpdir(), 'canemark-backup-'))
  folder = path.join(workFolder, 'night')
  origin = await freshDatabase()
  target = await freshDatabase()
  entryCount = (await recordSeason(origin.app.db, 20270228, 900)).length
  await knowPeople(origin)
  await backup(origin.owner.db, folder, madeAt)
})
afterAll(async () => {
  await Promise.all([origin.drop(), target.drop()])
  await rm(workFolder, { recursive: true, force: true })
})

/** A person with a sign-in and a session, a machine, and an auditor's link. */
async function knowPeople({ app: { db } }: TestDatabase): Promise<void> {
  await db.insertInto('person').values({ person_id: personId, name: 'Ilse Quarry' }).execute()
  const password_hash = await hashPassword(password)
  const signIn = { person_id: personId, sign_in_name: 'ilse', password_hash }
  await db.insertInto('sign_in').values(signIn).execute()
  const device = { device_id: newId(), name: 'Room logger', token_hash: hashToken(machineToken) }
  await db.insertInto('device').values(device).execute()
  const expiresAt = new Date('2027-06-01T00:00:00Z')
  const scope = [{ kind: 'lot', lotId: newId() }] as const
  const by = { personId, now: madeAt }
  await makeAuditLink(db, { auditorName: 'Ode Marsh', expiresAt, scope }, by)
  await beginSession(db, { personId }, 'a browser', madeAt)
}

async function rowsOf(database: TestDatabase, table: string): Promise<string[]> {
  const { rows } = await sql<{ row: string }>`
    select to_jsonb(t)::text as row from ${sql.table(table)} t order by 1`.execute(
    database.owner.db,
  )
  return rows.map(({ row }) => row)
}

async function isEmpty(database: TestDatabase): Promise<boolean> {
  for (const table of ['entry', 'graft', ...backedUpTables.map((known) => known.table)]) {
    if ((await rowsOf(database, table)).length > 0) return false
  }
  return true
}

describe('a backup', () => {
  it('says of every table whether it is backed up, worked out again, or left out', async () => {
    const { rows } = await sql<{ name: string }>`
      select tablename as name from pg_tables where schemaname = 'public'`.execute(origin.owner.db)
    const known = [
      'entry',
      ...backedUpTables.map(({ table }) => table),
      ...leftOutTables,
      ...factTables,
      ...countTables,
      ...['balance', 'climate_day', 'finding', 'finding_scope', 'tree_node'],
    ]
    expect(rows.map(({ name }) => name).sort()).toEqual(known.sort())
  })

  it('is readable by its owner alone', async () => {
    expect((await stat(folder)).mode & 0o777).toBe(0o700)
    const names = await readdir(folder)
    expect(names).toContain('manifest.json')
    expect(names).toHaveLength(backedUpTables.length + 2)
    for (const name of names) {
      expect((await stat(path.join(folder, name))).mode & 0o777, name).toBe(0o600)
    }
  })

  it('has files whose SHA-256 another program finds to be what the manifest says', async () => {
    const manifest = JSON.parse(await readFile(path.join(folder, 'manifest.json'), 'utf8')) as {
      entries: number
      files: { name: string; sha256: string }[]
    }
    expect(manifest.entries).toBe(entryCount)
    const list = manifest.files.map(({ name, sha256 }) => `${sha256}  ${name}`).join('\n')
    const said = execFileSync('sha256sum', ['--check', '--strict'], {
      cwd: folder,
      input: list,
      encoding: 'utf8',
    })
    expect(said.trim().split('\n')).toHaveLength(backedUpTables.length + 1)
  })

  it('holds no password, no token and no session', async () => {
    const names = await readdir(folder)
    const texts = await Promise.all(names.map((name) => readFile(path.join(folder, name), 'utf8')))
    const all = texts.join('')
    expect(all).toContain('$argon2id$')
    expect(all).not.toContain(password)
    expect(all).not.toContain(machineToken)
    const [session] = await rowsOf(origin, 'session')
    expect(session).toContain('token_hash')
    expect(names).not.toContain('session.ndjson')
  })

  it('takes one moment: what is recorded while it is written is not half in it', async () => {
    const busy = await freshDatabase()
    try {
      const entries = randomSeason(31, 600)
      let isDone = false
      const writing = (async () => {
        for (let at = 0; at < entries.length && !isDone; at += 5) {
          const batch = entries.slice(at, at + 5)
          for (const entry of batch) await ingest(busy.app.db, entry.device, [entry])
        }
      })()
      while ((await rowsOf(busy, 'entry')).length < 30) await new Promise(setImmediate)
      const at = path.join(workFolder, 'busy')
      const manifest = await backup(busy.owner.db, at, madeAt)
      isDone = true
      await writing
      const copy = await freshDatabase()
      try {
        const { verified } = await restore(copy.owner.db, at)
        expect(verified.entries).toBe(manifest.entries)
        expect(manifest.entries).toBeGreaterThanOrEqual(30)
        expect(manifest.entries).toBeLessThanOrEqual((await rowsOf(busy, 'entry')).length)
      } finally {
        await copy.drop()
      }
    } finally {
      await busy.drop()
    }
  })

  it('does not write over another one', async () => {
    await expect(backup(origin.owner.db, folder, madeAt)).rejects.toThrow(/exists already/)
  })

  it('leaves nothing behind when it cannot be finished', async () => {
    const at = path.join(workFolder, 'refused')
    // The app may not read every table: this fails half way, after the journal was written.
    await expect(backup(origin.reader.db, at, madeAt)).rejects.toThrow(/permission denied/)
    expect((await readdir(workFolder)).filter((name) => name.startsWith('refused'))).toEqual([])
  })
})

describe('a restore', () => {
  it('brings back every row, fact and finding, and the sign-in still works', async () => {
    const copy = await freshDatabase()
    try {
      const { manifest, verified } = await restore(copy.owner.db, folder)
      expect(manifest.madeAt).toBe(madeAt.toISOString())
      expect(verified.entries).toBe(entryCount)
      for (const table of ['entry', ...backedUpTables.map((known) => known.table)]) {
        expect(await rowsOf(copy, table), table).toEqual(await rowsOf(origin, table))
      }
      const facts = await factsSnapshot(origin.app.db)
      expect(facts.finding?.length).toBeGreaterThan(0)
      expect(await factsSnapshot(copy.app.db)).toEqual(facts)
      expect(await rowsOf(copy, 'session')).toEqual([])
      const signIn = await copy.app.db
        .selectFrom('sign_in')
        .select('password_hash')
        .executeTakeFirstOrThrow()
      expect(await isPassword(signIn.password_hash, password)).toBe(true)
      expect(await verify(copy.reader.db)).toEqual({ verified })
    } finally {
      await copy.drop()
    }
  })

  it('goes on from there: new things are set aside and recorded under new numbers', async () => {
    const copy = await freshDatabase()
    try {
      await restore(copy.owner.db, folder)
      const results = await ingest(copy.app.db, newId(), [{ kind: 'another strange one' }])
      expect(results).toMatchObject([{ result: 'set aside' }])
      expect((await rowsOf(copy, 'set_aside')).length).toBe(2)
      expect(await verify(copy.reader.db)).toHaveProperty('verified')
    } finally {
      await copy.drop()
    }
  })

  it('fills only an empty database', async () => {
    await expect(restore(origin.owner.db, folder)).rejects.toThrow(
      /this database is in use: its table entry holds rows/,
    )
  })

  type Damage = (at: string) => Promise<void>
  const change =
    (name: string, edit: (text: string) => string): Damage =>
    async (at) => {
      const file = path.join(at, name)
      const text = await readFile(file, 'utf8')
      expect(edit(text)).not.toBe(text)
      await writeFile(file, edit(text))
    }
  it.each<[string, Damage, RegExp]>([
    [
      'one letter of a name changed',
      change('person.ndjson', (text) => text.replace('Ilse', 'Elsi')),
      /person\.ndjson is not as it was written/,
    ],
    [
      'the end of the journal cut off',
      change('journal.ndjson', (text) => text.slice(0, -40)),
      /journal\.ndjson is not as it was written: \d+ bytes now, \d+ bytes then/,
    ],
    ['a file lost', (at) => rm(path.join(at, 'sign_in.ndjson')), /sign_in\.ndjson cannot be read/],
    ['its manifest lost', (at) => rm(path.join(at, 'manifest.json')), /is no backup/],
    [
      'its manifest cut off',
      change('manifest.json', (text) => text.slice(0, 90)),
      /is not a manifest that this program knows/,
    ],
    [
      'a column that nobody knows',
      change('manifest.json', (text) => text.replace('"sign_in_name"', '"nickname"')),
      /sign_in\.ndjson has a column nickname that this Canemark does not know/,
    ],
  ])('with %s is refused, and the database stays empty', async (_, damage, says) => {
    const at = await mkdtemp(path.join(workFolder, 'damaged-'))
    await cp(folder, at, { recursive: true })
    await damage(at)
    await expect(restore(target.owner.db, at)).rejects.toThrow(says)
    expect(await isEmpty(target)).toBe(true)
  })

  it('with files and manifest changed together, bytes not as hashed are refused', async () => {
    const at = await mkdtemp(path.join(workFolder, 'forged-'))
    await cp(folder, at, { recursive: true })
    const journal = path.join(at, 'journal.ndjson')
    const text = (await readFile(journal, 'utf8')).replace('"name":"Gravel"', '"name":"Gravol"')
    await writeFile(journal, text)
    const said = execFileSync('sha256sum', [journal], { encoding: 'utf8' }).slice(0, 64)
    await change('manifest.json', (manifest) => manifest.replace(/[0-9a-f]{64}/, said))(at)
    await expect(restore(target.owner.db, at)).rejects.toThrow(/line 2: .*leafHash/)
    expect(await isEmpty(target)).toBe(true)
  })
})
