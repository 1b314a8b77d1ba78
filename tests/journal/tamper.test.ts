// Somebody with the owner's password changes the past: each way is caught, and by what is said.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { checkpointText } from '../../api/journal/checkpoint.ts'
import { changeKey, knownKeys } from '../../api/journal/checkpoint-keys.ts'
import { signNow } from '../../api/journal/keep-signing.ts'
import { exportToFile } from '../../api/journal/file.ts'
import { readEvidence } from '../../api/journal/held.ts'
import { GrowingTree } from '../../api/journal/merkle.ts'
import { keyText } from '../../api/journal/note.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import { rootAt } from '../../api/journal/tree.ts'
import { verify, verifiedWords, verifyIn } from '../../api/journal/verify.ts'
import { randomSeason } from '../sim/season.ts'
import { recordAll } from '../ops/recorded-season.ts'
import { proofOffice } from './proof-office.ts'
import type { ProofOffice } from './proof-office.ts'
import { insert, loose, rebuilt, remove, rewrite, swap, unsigned } from './tampering.ts'
import type { Trx } from './tampering.ts'

let office: ProofOffice
let kept: string
let key: string
/** Evidence kept elsewhere: a checkpoint of 200 entries, one of 400, and an export of 500. */
const files = { early: '', late: '', journal: '' }
const count = 500

beforeAll(async () => {
  office = await proofOffice('vines.example/journal')
  kept = await mkdtemp(path.join(tmpdir(), 'canemark-kept-'))
  const season = randomSeason(20270602, count)
  const { db } = office.services
  const [early, late, rest] = [season.slice(0, 200), season.slice(200, 400), season.slice(400)]
  for (const [name, part] of [
    ['early', early],
    ['late', late],
  ] as const) {
    await recordAll(db, part)
    const { note } = await signNow(office.services)
    files[name] = path.join(kept, `${name}.txt`)
    await writeFile(files[name], note)
  }
  await recordAll(db, rest)
  await signNow(office.services)
  files.journal = path.join(kept, 'journal.ndjson')
  await exportToFile(db, files.journal)
  key = keyText((await knownKeys(db))[0] ?? raise())
})
afterAll(async () => {
  await office.drop()
  await rm(kept, { recursive: true, force: true })
})

function raise(): never {
  throw new Error('there is no key')
}

const undo = new Error('taken back')

/** Tampers as the owner of the database, verifies against evidence, and takes all back. */
async function after(tamper: (trx: Trx) => Promise<void>, words: string[] = []): Promise<string> {
  const evidence = await readEvidence(words)
  let found = ''
  await office.database.owner.db
    .transaction()
    .execute(async (trx) => {
      await sql`alter table entry disable trigger user`.execute(trx)
      await sql`alter table checkpoint disable trigger user`.execute(trx)
      await sql`alter table signing_key disable trigger user`.execute(trx)
      await tamper(trx)
      const outcome = await verifyIn(trx, undefined, evidence)
      found = 'difference' in outcome ? outcome.difference : 'all holds'
      throw undo
    })
    .catch((error: unknown) => {
      if (error !== undo) throw error
    })
  return found
}

describe('before anything is changed', () => {
  it('all holds, against every piece of evidence', async () => {
    const evidence = await readEvidence([files.early, files.late, files.journal, '--key', key])
    const outcome = await verify(office.database.reader.db, undefined, evidence)
    if (!('verified' in outcome)) throw new Error(outcome.difference)
    expect(outcome.verified).toMatchObject({
      entries: count,
      checkpoints: 5,
      heldCheckpoints: 2,
      heldEntries: count,
    })
    expect(verifiedWords(outcome.verified)).toContain('their tree fits 5 checkpoints')
  })
})

describe('caught by the entry itself', () => {
  it('one byte of an old entry changed', async () => {
    const found = await after(async (trx) => {
      await sql`update entry set canonical = set_byte(canonical, 30, get_byte(canonical, 30) # 1)
        where journal_index = 123`.execute(trx)
    })
    expect(found).toMatch(/^entry 123 .*do not fit its leaf hash/)
  })

  it('an entry removed, its gap left open', async () => {
    const found = await after(async (trx) => {
      await sql`delete from entry where journal_index = 123`.execute(trx)
    })
    expect(found).toMatch(/^entry 123 is missing from the journal/)
  })
})

describe('caught by the checkpoints on record (invariant 9)', () => {
  it.each<[string, (trx: Trx) => Promise<void>]>([
    ['an entry rewritten with its hash', rewrite],
    ['an entry removed and the gap closed', remove],
    ['two entries swapped', swap],
    ['one inserted with a plausible time', insert],
  ])('%s, facts and tree rebuilt to fit', async (_, tamper) => {
    expect(await after(rebuilt(tamper))).toMatch(
      /^the checkpoint on record of 200 entries does not fit: one of the entries 0 to 199 was/,
    )
  })

  it('kept hashes of the tree that were forgotten tell it to sixteen entries', async () => {
    const found = await after(
      loose(async (trx) => {
        const { rows } = await sql<{ level: number; node_index: number; hash: Buffer }>`
        select * from tree_node`.execute(trx)
        await rebuilt(async (inner) => rewrite(inner, 250))(trx)
        for (const row of rows) await trx.insertInto('tree_node').values(row).execute()
      }),
    )
    expect(found).toMatch(/of 400 entries .* entries 200 to 399 .* the first at 240 to 255$/)
  })

  it('the newest entries cut off', async () => {
    const found = await after(
      rebuilt(async (trx) => {
        await sql`delete from entry where journal_index >= 450`.execute(trx)
      }),
    )
    expect(found).toMatch(
      /has 450 entries, and the checkpoint on record covers 500: entries from 450/,
    )
  })

  it('a checkpoint whose columns, note or signature were changed', async () => {
    const change = (set: string) => async (trx: Trx) => {
      await sql.raw(`update checkpoint set ${set} where size = 400`).execute(trx)
    }
    expect(await after(change(`root = sha256('x')`))).toMatch(/columns and its note differ/)
    expect(await after(change(`note = replace(note, E'\\n400\\n', E'\\n401\\n')`))).toMatch(
      /the signature of vines.example\/journal does not fit the text/,
    )
    expect(
      await after(change(`note = regexp_replace(note, '— [^\n]*', '— other.example AAAAAAAA')`)),
    ).toMatch(/bears no signature of ours/)
  })

  it('the kept hashes alone changed, and what mends them', async () => {
    const found = await after(async (trx) => {
      await sql`update tree_node set hash = sha256('x') where level = 4 and node_index = 9`.execute(
        trx,
      )
    })
    expect(found).toBe(
      'the kept hash 9 of level 4 is not that of the entries 144 to 159: run “npm run rebuild”',
    )
  })
})

describe('all rebuilt with the owner’s password, caught by what is kept elsewhere', () => {
  const ways: [string, (trx: Trx) => Promise<void>, number][] = [
    ['an entry rewritten', rewrite, 123],
    ['an entry removed', remove, 123],
    ['two entries swapped', swap, 123],
    ['one inserted', insert, 123],
  ]
  it.each(ways)('%s: by itself the database agrees with itself', async (_, tamper) => {
    expect(await after(unsigned(tamper))).toBe('all holds')
  })

  it.each(ways)('%s: an earlier checkpoint tells among which entries', async (_, tamper) => {
    expect(await after(unsigned(tamper), [files.late, files.early])).toMatch(
      /early\.txt of 200 entries does not fit: one of the entries 0 to 199 was changed, removed/,
    )
    expect(await after(unsigned(tamper), [files.late])).toMatch(
      /late\.txt of 400 entries does not fit: one of the entries 0 to 399 was changed, removed/,
    )
  })

  it.each(ways)('%s: an earlier export tells the index', async (_, tamper, index) => {
    expect(await after(unsigned(tamper), [files.journal])).toMatch(
      new RegExp(`^entry ${index}: the journal has .*: from this index on the two differ$`),
    )
  })

  it('two checkpoints that agree and disagree tell the entries between', async () => {
    const found = await after(
      unsigned((trx) => rewrite(trx, 250)),
      [files.early, files.late],
    )
    expect(found).toMatch(/late\.txt of 400 entries does not fit: one of the entries 200 to 399/)
  })

  it('the newest entries cut off', async () => {
    const cut = unsigned(async (trx) => {
      await sql`delete from entry where journal_index >= 390`.execute(trx)
    })
    expect(await after(cut, [files.early])).toBe('all holds')
    expect(await after(cut, [files.late])).toMatch(/390 entries, and .*late\.txt covers 400/)
    expect(await after(cut, [files.journal])).toMatch(/journal\.ndjson holds entry 390 .* missing/)
  })

  it('the past signed anew by another key', async () => {
    const resign = unsigned(async (trx) => {
      await rewrite(trx)
      await sql`delete from checkpoint`.execute(trx)
      await sql`delete from signing_key`.execute(trx)
    })
    const signedAnew = async (trx: Trx) => {
      await resign(trx)
      const forger = await proofOffice('vines.example/journal')
      try {
        await recordAll(forger.services.db, randomSeason(1, 20))
        await signNow(forger.services)
        const stolen = await changeKey(forger.services.db, forger.folder, {
          reason: 'any',
          isLost: true,
          now: new Date(),
        })
        const root = await treeOf(trx)
        const { name, keyHash, publicKey } = stolen.key
        await sql`insert into signing_key (key_number, name, key_hash, public_key, reason, made_at)
          values (0, ${name}, ${keyHash}, ${publicKey}, 'the first key', now())`.execute(trx)
        const note = stolen.sign(checkpointText({ origin: name, size: count, root }))
        await sql`insert into checkpoint (size, key_number, root, note, made_at)
          values (${count}, 0, ${root}, ${note}, now())`.execute(trx)
      } finally {
        await forger.drop()
      }
    }
    expect(await after(signedAnew)).toBe('all holds')
    expect(await after(signedAnew, [files.early])).toMatch(
      /early\.txt is signed by no key that is known here .*the keys on record were changed/,
    )
    expect(await after(signedAnew, ['--key', key, files.early])).toMatch(
      /early\.txt of 200 entries does not fit/,
    )
  })
})

async function treeOf(trx: Trx): Promise<Buffer> {
  const rows = await trx.selectFrom('entry').select('leaf_hash').orderBy('journal_index').execute()
  const tree = new GrowingTree()
  for (const row of rows) tree.add(row.leaf_hash)
  return tree.root()
}

describe('evidence that is none', () => {
  it('is refused by the name of its file, and nothing is verified', async () => {
    const write = async (name: string, text: string) => {
      const file = path.join(kept, name)
      await writeFile(file, text)
      return file
    }
    const wrong = [
      await write('empty.txt', ''),
      await write('words.txt', 'a page of words\n'),
      await write('object.json', '{"a":1}'),
      await write('dossier.json', '{"dossier":{}}'),
      path.join(kept, 'not-there.txt'),
    ]
    for (const file of wrong) {
      await expect(readEvidence([file]), file).rejects.toMatchObject({ code: 'not_evidence' })
      await expect(readEvidence([file])).rejects.toThrow(file)
    }
    await expect(readEvidence(['--key', 'nonsense'])).rejects.toThrow(/no public key/)
  })

  it('an export whose own line was changed is told as such', async () => {
    const text = await readFile(files.journal, 'utf8')
    const file = path.join(kept, 'changed.ndjson')
    await writeFile(file, text.replace('"kind":"lot.cut"', '"kind":"lot.cuT"'))
    const outcome = verify(office.database.reader.db, undefined, await readEvidence([file]))
    await expect(outcome).rejects.toThrow(/a character of it was changed/)
  })

  it('everything was taken back: the journal holds against all of it', async () => {
    await settleFindings(office.services.db)
    expect(await rootAt(office.services.db, count)).toBeInstanceOf(Buffer)
    const evidence = await readEvidence([files.early, files.late, files.journal])
    const outcome = await verify(office.database.reader.db, undefined, evidence)
    expect(outcome).toHaveProperty('verified')
  })
})
