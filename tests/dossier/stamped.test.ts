// Stamps of time in a dossier: shown and checked in page and PDF, by openssl too, or told wrong.
import { spawnSync } from 'node:child_process'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import { checkDossier } from '../../api/dossier/check/check-dossier.ts'
import { extensionProblem } from '../../api/dossier/check/consistency.ts'
import { readStampToken } from '../../api/dossier/check/stamp-token.ts'
import type { DossierContent, ProvenStamp } from '../../api/dossier/dossier-shape.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { signNow } from '../../api/journal/keep-signing.ts'
import { checkConsistency } from '../../api/journal/merkle.ts'
import { listStamps, stampWhenDue } from '../../api/journal/stamps.ts'
import { consistencyProof, rootAt } from '../../api/journal/tree.ts'
import { recordSeason } from '../ops/recorded-season.ts'
import { openssl, stampAuthority } from '../journal/stamp-authority.ts'
import type { StampAuthority } from '../journal/stamp-authority.ts'
import { askTool } from '../labels/read-labels.ts'
import { requireTool, toolPresent } from '../tools.ts'
import { smallOffice, someLot } from './dossier-office.ts'
import type { DossierOffice } from './dossier-office.ts'
import { withContent } from './tampered.ts'

let office: DossierOffice
let authority: StampAuthority | null = null
let folder: string
let before: MadeDossier
let made: MadeDossier

beforeAll(async () => {
  office = await smallOffice('vines.example/journal')
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-stamped-'))
  const subject = await someLot(office)
  before = await office.make(subject)
  if (!toolPresent('openssl')) return
  authority = await stampAuthority()
  const { db, clock } = office.services
  const settings = { url: authority.url, everyHours: 24, authorities: null }
  await stampWhenDue(db, settings, clock.now())
  await recordSeason(db, 20270699, 60)
  office.later(48 * 60)
  await signNow(office.services)
  await stampWhenDue(db, settings, clock.now())
  await recordSeason(db, 20270698, 60)
  office.later(60)
  made = await office.make(subject)
})
afterAll(async () => {
  await authority?.close()
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

function stamps(context: TestContext): ProvenStamp[] {
  requireTool(context, 'openssl')
  return made.content.proof.timestamps ?? []
}

const checkOf = async (file: string | Buffer) =>
  (await checkDossier(file.toString('utf8'))).find(({ what }) => what === 'Stamps of time')

/** The dossier with its stamps changed; the seal is broken too, which is another check. */
const changed = (change: (stamps: ProvenStamp[], content: DossierContent) => void) =>
  withContent(made.json, (content) => change(content.proof.timestamps ?? [], content))

describe('a dossier', () => {
  it('made before anything was stamped has no such member and no such check', async () => {
    expect('timestamps' in before.content.proof).toBe(false)
    expect(await checkOf(before.json)).toBeUndefined()
    const checks = await checkDossier(before.json.toString('utf8'))
    expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
  })

  it('carries the earliest stamp of its entries and the newest, and all is right', async (c) => {
    const kept = await listStamps(office.services.db, { limit: 10 })
    expect(stamps(c).map(({ size }) => size)).toEqual(kept.map(({ size }) => size).reverse())
    expect(made.size).toBeGreaterThan(kept[0]?.size ?? 0)
    const checks = await checkDossier(made.json.toString('utf8'))
    expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
    const check = await checkOf(made.json)
    expect(check?.result).toBe('right')
    for (const { size, stampedAt } of kept) {
      const time = stampedAt.toISOString().replace('.000', '')
      expect(check?.words).toContain(
        `the first ${size} entries at ${time} by Stamps of the test, Test nursery`,
      )
    }
    expect(check?.words).toMatch(/yours to say: openssl checks it/)
  })

  it('says in its PDF when and by whom, as the stamp says', async (context) => {
    requireTool(context, 'openssl', 'pdftotext')
    const text = (await askTool(made.pdf, 'pdftotext', '-raw', 'PDF', '-')).replace(/\s+/g, ' ')
    for (const { size, stampedAt } of await listStamps(office.services.db, { limit: 10 })) {
      expect(text).toContain(
        `Its first ${size} entries were stamped at ${stampedAt.toISOString()} by ` +
          'Stamps of the test, Test nursery (says the stamp).',
      )
    }
  })
})

describe('the recipe in docs/dossier.md', () => {
  async function run(context: TestContext, json: string | Buffer) {
    requireTool(context, 'python3', 'openssl')
    const doc = await readFile(new URL('../../docs/dossier.md', import.meta.url), 'utf8')
    const [, recipe = '', shell = ''] =
      /Save it as `stamps.py`[^]*?```python\n([^]*?)```[^]*?```sh\n([^]*?)```/.exec(doc) ?? []
    await writeFile(path.join(folder, 'stamps.py'), recipe)
    await writeFile(path.join(folder, 'dossier.json'), json)
    await writeFile(path.join(folder, 'authority.pem'), authority?.ca ?? '')
    const ran = spawnSync('sh', ['-ec', shell], { cwd: folder, encoding: 'utf8' })
    return { status: ran.status, said: ran.stdout + ran.stderr }
  }

  it('has openssl verify each stamp against the authority’s certificate', async (context) => {
    const { status, said } = await run(context, made.json)
    expect({ status, said }).toMatchObject({ status: 0 })
    expect(said.match(/Verification: OK/g)).toHaveLength(stamps(context).length)
    for (const { size } of stamps(context)) expect(said).toContain(`stamp of ${size} entries`)
  })

  it('stops at a stamp of another note, and at a journal that was rewritten', async (context) => {
    const swapped = changed(([first, second]) => {
      if (first === undefined || second === undefined) throw new Error('two are needed')
      first.token = second.token
    })
    expect(await run(context, swapped)).toMatchObject({ status: 1 })
    const rewritten = changed(([first]) => {
      first?.consistency.reverse()
    })
    const { status, said } = await run(context, rewritten)
    expect(status).not.toBe(0)
    expect(said).toMatch(/does not extend/)
  })
})

describe('a stamp that was changed', () => {
  const cases: [string, (stamp: ProvenStamp, other: ProvenStamp) => void, RegExp][] = [
    ['is of another note', (one, other) => (one.token = other.token), /stamps other bytes/],
    ['has another time', (one) => (one.token = flipped(one.token, /Z\x02|Z\x30/)), /was changed/],
    ['has another signature', (one) => (one.token = flipped(one.token, -20)), /does not fit/],
    ['is cut off', (one) => (one.token = cut(one.token)), /cut off/],
    ['is no stamp', (one) => (one.token = 'aGVsbG8='), /the stamp of/],
    ['has no base64', (one) => (one.token = '???'), /the stamp of/],
    ['has another note', (one, other) => (one.note = other.note), /its note is of/],
    ['has an unsigned note', (one) => (one.note = relined(one.note)), /do not fit/],
    ['has too short a proof', (one) => void one.consistency.pop(), /was rewritten/],
    ['has another proof', (one) => void one.consistency.reverse(), /was rewritten/],
  ]

  it.for(cases)('and %s is told', async ([, change, words], context) => {
    stamps(context)
    const check = await checkOf(
      changed(([one, other]) => {
        if (one === undefined || other === undefined) throw new Error('two are needed')
        change(one, other)
      }),
    )
    expect(check?.result).toBe('wrong')
    expect(check?.words).toMatch(words)
  })

  it('is read alike by openssl and by the page, by ECDSA too', async (context) => {
    requireTool(context, 'openssl')
    if (authority === null) throw new Error('no authority')
    const { folder: at } = authority
    const curve = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes']
    const subject = ['-config', 'ts.cnf', '-subj', '/CN=Curve', '-keyout', 'tsa.key']
    openssl(at, 'req', ...curve, ...subject, '-out', 'ec.csr')
    const signed = ['-req', '-in', 'ec.csr', '-CA', 'ca.pem', '-CAkey', 'ca.key', '-days', '9']
    const as = ['-set_serial', '8', '-extfile', 'ts.cnf', '-extensions', 'tsa_cert']
    openssl(at, 'x509', ...signed, ...as, '-out', 'tsa.pem')
    const note = Buffer.from('any bytes\n')
    await writeFile(path.join(at, 'any.txt'), note)
    openssl(at, 'ts', '-query', '-data', 'any.txt', '-sha256', '-cert', '-out', 'any.tsq')
    const config = ['-config', 'ts.cnf', '-section', 'tsa_config', '-token_out']
    openssl(at, 'ts', '-reply', '-queryfile', 'any.tsq', ...config, '-out', 'any.tst')
    const token = await readFile(path.join(at, 'any.tst'))
    expect(await readStampToken(token, note)).toMatchObject({
      authority: 'Curve',
      signature: 'holds',
    })
    await expect(readStampToken(token, Buffer.from('other'))).rejects.toThrow(/other bytes/)
  })
})

it('the page and the server agree on every proof of extension, right and wrong', async () => {
  const { db } = office.services
  const sha256 = async (bytes: Uint8Array) =>
    new Uint8Array(await crypto.subtle.digest('SHA-256', new Uint8Array(bytes)))
  const size = before.size
  const root = await rootAt(db, size)
  for (const at of [1, 2, 3, 7, 8, 63, 64, 65, 100, size - 1, size]) {
    const proof = await consistencyProof(db, at, size)
    const claim = { before: at, beforeRoot: await rootAt(db, at), size, root, proof }
    expect(await extensionProblem(sha256, claim)).toBeNull()
    const wrong = [
      { ...claim, beforeRoot: root.map((byte) => byte ^ 1) },
      { ...claim, root: root.map((byte) => byte ^ 1) },
      { ...claim, proof: [...proof, root] },
      { ...claim, proof: proof.slice(0, -1), before: proof.length === 0 ? at + 1 : at },
      { ...claim, before: 0 },
    ]
    for (const one of wrong) {
      expect(await extensionProblem(sha256, one)).not.toBeNull()
      expect(checkConsistency(one).ok).toBe(false)
    }
  }
})

function flipped(base64: string, where: number | RegExp): string {
  const bytes = Buffer.from(base64, 'base64')
  const found = typeof where === 'number' ? bytes.length + where : find(bytes, where)
  bytes.writeUInt8(bytes.readUInt8(found) ^ 1, found)
  return bytes.toString('base64')
}

/** The digit before the Z of the stamp's time. */
function find(bytes: Buffer, where: RegExp): number {
  return bytes.toString('latin1').search(where) - 1
}

const cut = (base64: string) => Buffer.from(base64, 'base64').subarray(0, -50).toString('base64')

/** One digit of the root is another. */
function relined(note: string): string {
  const [name, size, root = '', ...rest] = note.split('\n')
  const bytes = Buffer.from(root, 'base64')
  bytes.writeUInt8(bytes.readUInt8(0) ^ 1, 0)
  return [name, size, bytes.toString('base64'), ...rest].join('\n')
}
