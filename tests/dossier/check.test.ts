// A dossier checks itself, and whatever is changed in it is refused in words that say where.
import { spawnSync } from 'node:child_process'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { checkDossier } from '../../api/dossier/check/check-dossier.ts'
import type { Check, CheckOptions } from '../../api/dossier/check/check-dossier.ts'
import { fromPage } from '../../api/dossier/check/page-script.ts'
import type { DossierContent } from '../../api/dossier/dossier-shape.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { sealText } from '../../api/dossier/make.ts'
import { toPage } from '../../api/dossier/page.ts'
import { checkpointText } from '../../api/journal/checkpoint.ts'
import { changeKey } from '../../api/journal/checkpoint-keys.ts'
import { signerFor } from '../../api/journal/keep-signing.ts'
import { openNote } from '../../api/journal/note.ts'
import { requireTool } from '../tools.ts'
import { busyVine, dossierOffice, smallOffice, someLot } from './dossier-office.ts'
import type { DossierOffice } from './dossier-office.ts'
import { changeByte, middleEntry, withContent } from './tampered.ts'

let office: DossierOffice
let lot: MadeDossier
let row: MadeDossier
let folder: string

beforeAll(async () => {
  office = await dossierOffice('vines.example/journal')
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-dossier-'))
  const { rowId, lotId } = await busyVine(office)
  lot = await office.make({ kind: 'lot', id: lotId, position: 0 })
  row = await office.make({ kind: 'row', id: rowId, position: 0 })
})
afterAll(async () => {
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

const keyOf = ({ content }: MadeDossier) => content.proof.keys.at(-1)?.key ?? ''

/** The words of what is wrong, by what was checked. */
async function wrongIn(text: string, options: CheckOptions = {}): Promise<Record<string, string>> {
  const checks = await checkDossier(text, options)
  const wrong = checks.filter(({ result }) => result === 'wrong')
  return Object.fromEntries(wrong.map(({ what, words }): [string, string] => [what, words]))
}

describe('as it was made', () => {
  it('is right in all that can be checked, with its PDF and the key known before', async () => {
    for (const made of [lot, row]) {
      const options = { pdf: made.pdf, trustedKey: keyOf(made) }
      const checks = await checkDossier(made.json.toString('utf8'), options)
      expect(checks.filter(({ result }) => result !== 'right')).toEqual([])
      expect(checks).toHaveLength(8)
    }
  })

  it('without a key or a PDF says that these were not checked, and nothing is wrong', async () => {
    const checks = await checkDossier(lot.json.toString('utf8'))
    const open = checks.filter(({ result }: Check) => result === 'not checked')
    expect(open.map(({ what }) => what)).toEqual(['Whose key it is', 'The PDF'])
    expect(checks.some(({ result }) => result === 'wrong')).toBe(false)
  })

  it('answers each rule by one of three words, with a citation, and certifies nothing', () => {
    for (const { content } of [lot, row]) {
      expect(content.rules.length).toBeGreaterThan(10)
      for (const rule of content.rules) {
        expect(['holds', 'does not hold', 'not known']).toContain(rule.result)
        expect(rule.citation.length).toBeGreaterThan(10)
        expect(rule.because.length).toBeGreaterThan(3)
      }
      expect(content.statement).toContain('It certifies nothing')
      const said = content.rules.map(({ result, rule }) => `${result} ${rule}`).join()
      expect(said).not.toMatch(/certified/i)
    }
  })

  it('holds every entry that its tables and rules name', () => {
    for (const { content } of [lot, row]) {
      const kept = new Set(content.proof.entries.map(({ index }) => index))
      const named = [...content.rules, ...content.tables.flatMap(({ rows }) => rows)].flatMap(
        ({ entries }) => entries,
      )
      expect(named.length).toBeGreaterThan(50)
      expect(named.filter((index) => !kept.has(index))).toEqual([])
    }
  })

  it('is a PDF that qpdf finds clean, tagged, naming the content’s hash', async (context) => {
    requireTool(context, 'qpdf', 'pdfinfo', 'pdftotext')
    const file = path.join(folder, 'lot.pdf')
    await writeFile(file, lot.pdf)
    const qpdf = spawnSync('qpdf', ['--check', file], { encoding: 'utf8' })
    expect([qpdf.status, qpdf.stderr]).toEqual([0, ''])
    expect(spawnSync('pdfinfo', [file], { encoding: 'utf8' }).stdout).toMatch(/Tagged: +yes/)
    const text = spawnSync('pdftotext', [file, '-'], { encoding: 'utf8' }).stdout
    expect(text.replace(/\s/g, '')).toContain(lot.contentSha256.toString('hex'))
    expect(text).toContain(lot.content.subject.label)
  })
})

describe('changed after it was sealed', () => {
  const changed = (change: (content: DossierContent) => void) => withContent(lot.json, change)

  it('one byte of one entry: its index is told', async () => {
    const { index } = middleEntry(lot.content)
    const wrong = await wrongIn(changed((content) => changeByte(middleEntry(content))))
    const isSigned = middleEntry(lot.content).entry.includes('"signature":"')
    expect(Object.keys(wrong)).toEqual([
      'Rules and tables',
      'Every entry in the signed journal',
      ...(isSigned ? ['Signatures of phones'] : []),
    ])
    expect(wrong['Every entry in the signed journal']).toMatch(
      new RegExp(`^entry ${index} \\([a-z.]+\\): its bytes and its proof do not lead to the`),
    )
  })

  it('an entry given another index, stood twice, or left out', async () => {
    const { index } = middleEntry(lot.content)
    const moved = await wrongIn(changed((content) => void (middleEntry(content).index += 1)))
    expect(moved['Every entry in the signed journal']).toMatch(`entry ${index + 1}`)
    const twice = changed(({ proof }) => void proof.entries.unshift(...proof.entries.slice(0, 1)))
    expect((await wrongIn(twice))['Every entry in the signed journal']).toMatch(/stands twice/)
    const none = changed(({ proof }) => void (proof.entries = []))
    expect((await wrongIn(none))['Every entry in the signed journal']).toMatch(/there is no entry/)
    const beyond = changed((content) => void (middleEntry(content).index = 10 ** 9))
    expect((await wrongIn(beyond))['Every entry in the signed journal']).toMatch(
      /not below the size/,
    )
  })

  it('a proof of a wrong length, or of hashes that are none', async () => {
    const short = changed((content) => void middleEntry(content).path.pop())
    expect((await wrongIn(short))['Every entry in the signed journal']).toMatch(
      /its proof has \d+ hashes where \d+ are due/,
    )
    const long = changed((content) => void middleEntry(content).path.push(0))
    expect((await wrongIn(long))['Every entry in the signed journal']).toMatch(/hashes where/)
    const none = changed((content) => void (middleEntry(content).path[0] = 999_999))
    expect((await wrongIn(none))['Every entry in the signed journal']).toMatch(
      /has 0 bytes, not 32/,
    )
    const other = changed(
      ({ proof }) => void (proof.hashes[0] = Buffer.alloc(32).toString('base64')),
    )
    expect((await wrongIn(other))['Every entry in the signed journal']).toMatch(/do not lead/)
    const upper = changed((content) => {
      const { path: steps } = middleEntry(content)
      steps[steps.length - 1] = steps[0] ?? 0
    })
    expect((await wrongIn(upper))['Every entry in the signed journal']).toMatch(/do not lead/)
  })

  it('an answer, a table or a name: the entries are right, the rest is not', async () => {
    for (const change of [
      (content: DossierContent) => content.rules.forEach((rule) => (rule.result = 'holds')),
      (content: DossierContent) => void content.tables[0]?.rows.pop(),
      (content: DossierContent) => void (content.names = {}),
      (content: DossierContent) => void (content.madeAt = '2026-01-01T00:00:00.000Z'),
    ]) {
      const wrong = await wrongIn(changed(change))
      expect(Object.keys(wrong)).toEqual(['Rules and tables'])
      expect(wrong['Rules and tables']).toMatch(/changed after it was sealed/)
    }
  })

  it('the seal, the checkpoint or a signature', async () => {
    const seal = withContent(
      lot.json,
      () => {},
      (old) => old.replace('content', 'contents'),
    )
    expect(await wrongIn(seal)).toHaveProperty('The seal')
    const size = changed(({ proof }) => {
      proof.checkpoint = proof.checkpoint.replace(
        /\n(\d+)\n/,
        (_, n: string) => `\n${Number(n) + 1}\n`,
      )
    })
    expect((await wrongIn(size))['The checkpoint']).toMatch(/signature do not fit: one of the two/)
    const unsigned = changed(({ proof }) => {
      proof.checkpoint = `${openNote(proof.checkpoint).text}\n— other.example AAAA\n`
    })
    expect(await wrongIn(unsigned)).toHaveProperty('The checkpoint')
  })

  it('a checkpoint of size 0, though it is signed by the right key', async () => {
    const signer = await signerFor(office.services)
    const empty = checkpointText({ origin: signer.key.name, size: 0, root: Buffer.alloc(32) })
    const wrong = await wrongIn(
      changed(({ proof }) => void (proof.checkpoint = signer.sign(empty))),
    )
    expect(wrong['The checkpoint']).toMatch(/size 0: a tree without entries proves none/)
  })

  it('the PDF: one byte, or that of another dossier', async () => {
    const pdf = Buffer.from(lot.pdf)
    pdf[200] = (pdf[200] ?? 0) ^ 1
    for (const given of [pdf, row.pdf]) {
      const wrong = await wrongIn(lot.json.toString('utf8'), { pdf: given })
      expect(wrong).toEqual({ 'The PDF': expect.stringContaining('it was changed, or is another') })
    }
  })

  it.each([
    ['cut short', (text: string) => text.slice(0, -200)],
    ['another file', () => '<!doctype html>'],
    ['nothing', () => ''],
    ['broken JSON', (text: string) => text.replace('"proof":{', '"proof":[')],
    ['a newer form', (text: string) => text.replace('canemark dossier 1', 'canemark dossier 2')],
  ])('what is no dossier any more: %s', async (_, change) => {
    const wrong = await wrongIn(change(lot.json.toString('utf8')))
    expect(Object.values(wrong).join()).toMatch(/this is no dossier/)
  })
})

describe('another key', () => {
  it('of another nursery is told when the reader gives the key that they know', async () => {
    const other = await smallOffice('vines.example/journal')
    try {
      const theirs = await other.make(await someLot(other))
      const wrong = await wrongIn(theirs.json.toString('utf8'), { trustedKey: keyOf(lot) })
      expect(wrong).toEqual({ 'Whose key it is': expect.stringContaining('another one') })
      const swapped = withContent(
        lot.json,
        ({ proof }) => void (proof.keys = theirs.content.proof.keys),
      )
      const said = await wrongIn(swapped)
      expect(said['The seal']).toMatch(/not signed by the key/)
      expect(said['The checkpoint']).toMatch(/not signed by the key/)
    } finally {
      await other.drop()
    }
  })

  it('that the old key named is followed, and one that it did not name is not', async () => {
    const { db, clock } = office.services
    const trustedKey = keyOf(lot)
    const by = { reason: 'yearly', isLost: false, now: clock.now() }
    const signer = await changeKey(db, office.folder, by)
    const { subject } = lot.content
    const made = await office.make(subject)
    expect(made.content.proof.keys).toHaveLength(2)
    const text = made.json.toString('utf8')
    expect(await wrongIn(text, { trustedKey })).toEqual({})
    const unnamed = withContent(made.json, ({ proof }) => {
      const last = proof.keys.at(-1)
      if (last !== undefined) last.succession = last.succession?.replace('entry', 'entrY') ?? null
    })
    expect((await wrongIn(unnamed))['The keys']).toMatch(/names the key .* do not fit/)
    const sealed = signer.sign(sealText(signer.key.name, '0'.repeat(64), '0'.repeat(64)))
    const resealed = await wrongIn(
      withContent(
        made.json,
        () => {},
        () => sealed,
      ),
    )
    expect(resealed).toHaveProperty('Rules and tables')
  })
})

describe('inside a page', () => {
  it('any text comes back as it was, whatever it would mean to HTML or JSON', () => {
    for (const text of ['</script>', '<!-- <script>', '\\u003c', '\\\\u003c<', '"<\\"', '\\\\']) {
      const json = JSON.stringify({ text })
      expect(toPage(json)).not.toContain('<')
      expect(fromPage(toPage(json))).toBe(json)
    }
  })
})
