// A checkpoint that was kept elsewhere shows whether the journal still begins with what it covers.
import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { makeCheckpoint } from '../../api/journal/checkpoints.ts'
import type { SignedCheckpoint } from '../../api/journal/checkpoints.ts'
import type { Signer } from '../../api/journal/checkpoint-keys.ts'
import { compareKept, compareKeptIn } from '../../api/journal/kept-checkpoint.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { freshDatabase } from '../database.ts'
import { recordAll } from '../ops/recorded-season.ts'
import { randomSeason } from '../sim/season.ts'
import { newSigner } from './new-signer.ts'
import { proofOffice } from './proof-office.ts'
import type { ProofOffice } from './proof-office.ts'
import { insert, remove, rewrite, swap, unsigned } from './tampering.ts'
import type { Trx } from './tampering.ts'

let office: ProofOffice
let signer: Signer
let kept: SignedCheckpoint
let size = 0

beforeAll(async () => {
  office = await proofOffice('kept.example/journal')
  const { db } = office.services
  const season = randomSeason(20270701, 300)
  size = season.length
  await recordAll(db, season.slice(0, 200), 50)
  signer = await newSigner(db)
  kept = await makeCheckpoint(db, signer, new Date('2027-06-01T08:00:00Z'))
  await recordAll(db, season.slice(200), 50)
})
afterAll(() => office.drop())

const compare = (note: string) => compareKept(office.services.db, note)

it('fits a journal that only grew, also with the line ends of a mail', async () => {
  const fits = { outcome: 'fits', size: 200, since: size - 200, fromBytes: true }
  expect(await compare(kept.note)).toMatchObject(fits)
  expect(await compare(`${kept.note.replaceAll('\n', '\r\n')}\r\n`)).toMatchObject(fits)
})

it('of another journal, altered, or no note at all is told as such', async () => {
  const other = await freshDatabase()
  try {
    await recordAll(other.app.db, randomSeason(5, 20), 20)
    const stranger = await newSigner(other.app.db)
    const foreign = await makeCheckpoint(other.app.db, stranger, new Date())
    expect(await compare(foreign.note)).toMatchObject({ outcome: 'signed by no key on record' })
  } finally {
    await other.drop()
  }
  const altered = kept.note.replace('\n200\n', '\n201\n')
  expect(await compare(altered)).toEqual({
    outcome: 'no checkpoint',
    problem: expect.stringContaining('does not fit the text') as string,
  })
  expect(await compare('')).toMatchObject({ outcome: 'no checkpoint' })
})

const undo = new Error('taken back')

/** Tampers as the owner of the database, compares, and takes all back. */
async function after(tamper: (trx: Trx) => Promise<void>): Promise<unknown> {
  let outcome: unknown
  await office.database.owner.db
    .transaction()
    .execute(async (trx) => {
      await sql`alter table entry disable trigger user`.execute(trx)
      await sql`alter table checkpoint disable trigger user`.execute(trx)
      await tamper(trx)
      outcome = await compareKeptIn(trx, kept.note)
      throw undo
    })
    .catch((error: unknown) => {
      if (error !== undo) throw error
    })
  return outcome
}

it('does not fit when one byte of one old entry is other, whatever stands beside it', async () => {
  const outcome = await after(async (trx) => {
    await sql`update entry set canonical = set_byte(canonical, 30, get_byte(canonical, 30) # 1)
      where journal_index = 123`.execute(trx)
  })
  expect(outcome).toMatchObject({ outcome: 'differs', size: 200 })
})

it.each([
  ['changed', rewrite],
  ['removed', remove],
  ['swapped', swap],
  ['put in', insert],
])('does not fit after an entry was %s and all was worked out anew', async (_, tamper) => {
  expect(await after(unsigned(tamper))).toMatchObject({ outcome: 'differs', size: 200 })
})

it('tells of entries that are missing at the end', async () => {
  const outcome = await after(async (trx) => {
    await sql`delete from entry where journal_index >= 150`.execute(trx)
  })
  expect(outcome).toMatchObject({ outcome: 'journal is shorter', held: 150 })
})

it('is asked for and answered on a page, in words', async () => {
  const person = { personId: office.services.deskDeviceId, name: 'Ines', role: 'office' as const }
  const app = newApp(office.services, async () => person)
  const ask = (note: string) =>
    app.request('/journal/checkpoints/kept', {
      method: 'POST',
      headers: {
        'content-type': 'application/x-www-form-urlencoded',
        origin: 'http://localhost',
        'sec-fetch-site': 'same-origin',
      },
      body: new URLSearchParams({ note }).toString(),
    })
  const right = await ask(kept.note)
  const page = await right.text()
  expect(right.status).toBe(200)
  expect(htmlProblems(page)).toEqual([])
  expect(page).toContain('It fits.')
  expect(page).toContain(`${size - 200} came since`)
  const wrong = await ask('three words only')
  expect(wrong.status).toBe(422)
  expect(await wrong.text()).toContain('This is no checkpoint')
})
