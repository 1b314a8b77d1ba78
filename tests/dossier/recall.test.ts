// The dossier of a recall: the whole chain is in it, what is counted only is said, all is proven.
import { spawnSync } from 'node:child_process'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { checkDossier } from '../../api/dossier/check/check-dossier.ts'
import type { DossierContent, DossierSubject } from '../../api/dossier/dossier-shape.ts'
import { makeDossier } from '../../api/dossier/make.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { signerFor } from '../../api/journal/keep-signing.ts'
import { recallId } from '../../api/trace/recall-question.ts'
import type { RecallQuestion } from '../../api/trace/recall.ts'
import { proofOffice } from '../journal/proof-office.ts'
import type { ProofOffice } from '../journal/proof-office.ts'
import { requireTool } from '../tools.ts'
import { agents, RecallScene } from '../trace/recall-scene.ts'
import { indexesIn, tableOf } from './read-content.ts'

const scene = new RecallScene('dossier of a recall')
const vineCount = 40
let office: ProofOffice
let folder: string
let whole: MadeDossier

const question: RecallQuestion = {
  start: { kind: 'source', id: scene.id('bad') },
  agent: agents.viroid,
  foundOn: '2027-05-01',
}

const subjectOf = (asked: RecallQuestion): DossierSubject => {
  return { kind: 'recall', id: recallId(asked), position: 0, question: asked }
}

async function make(asked: RecallQuestion, limit?: number): Promise<MadeDossier> {
  const { services } = office
  const signer = await signerFor(services)
  return makeDossier(services.db, signer, subjectOf(asked), services.clock.now(), limit)
}

beforeAll(async () => {
  office = await proofOffice('vines.example/journal', '2027-06-01T08:00:00Z')
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-recall-'))
  tellScene()
  await scene.record(office.services.db)
  whole = await make(question)
})
afterAll(async () => {
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

/** A source found infected, its lot grafted, a good lot cut with the same blade, a hold. */
function tellScene(): void {
  const { writer } = scene
  writer.add('block.registered', { blockId: scene.id('block'), name: 'Upper', note: '' })
  writer.add('party.registered', {
    partyId: scene.id('authority'),
    name: 'Plant Health Office',
    role: 'authority',
    registrationNumber: null,
    note: '',
  })
  scene.row()
  scene.source('bad')
  scene.source('good')
  scene.test('bad', '2026-12-01', 'not detected', agents.viroid)
  scene.cut('27-B1', 'bad')
  scene.cut('27-G1', 'good')
  scene.graft('27-G1', 1)
  for (let nr = 2; nr < 2 + vineCount; nr += 1) scene.graft('27-B1', nr)
  scene.graft('27-G1', 50)
  scene.disinfect()
  scene.test('bad', '2027-05-01', 'detected', agents.viroid)
  writer.add('hold.placed', {
    holdId: scene.id('hold'),
    on: { kind: 'source', id: scene.id('bad') },
    agent: agents.viroid,
    reason: 'detected in May',
  })
}

const kinds = ({ proof }: DossierContent) => proof.entries.map(({ entry }) => kindOf(entry))
const kindOf = (entry: string) => (JSON.parse(entry) as { kind: string }).kind

describe('as it was made', () => {
  it('is right in all that can be checked, with its PDF and the key known before', async () => {
    const trustedKey = whole.content.proof.keys.at(-1)?.key ?? ''
    const checks = await checkDossier(whole.json.toString('utf8'), { pdf: whole.pdf, trustedKey })
    expect(checks.filter(({ result }) => result !== 'right')).toEqual([])
  })

  it('tells what was found, the clean test before, and all that is reached', () => {
    const { content } = whole
    expect(content.subject.label).toBe('Recall: viroids in source bad, sampled 2027-05-01')
    const found = tableOf(content, 'What was found')
    expect(found.find(([what]) => what === 'Counted from')?.[1]).toContain('2026-12-01')
    const things = tableOf(content, 'Sources and lots that it may have reached')
    expect(things.map(([kind, name, by]) => [kind, name, by?.split(' ')[0]])).toEqual([
      ['source', 'bad', 'grafting'],
      ['lot', '27-B1', 'grafting'],
      ['lot', '27-G1', 'the'],
    ])
    const [row = []] = tableOf(content, 'Vines that it may have reached, by row')
    expect(row.slice(0, 5)).toEqual(['Upper, row 1', '41', '2–41, 50', '', ''])
    expect(row.slice(5)).toEqual(['41 of 41', 'none'])
    expect(things.map((cells) => cells[6])).toEqual([
      'its own hold',
      'the hold on bad',
      'the hold on bad',
    ])
    expect(tableOf(content, 'Vines that it may have reached, vine by vine')).toHaveLength(41)
    expect(tableOf(content, 'Holds on it').map((cells) => cells[2])).toEqual(['detected in May'])
    expect(tableOf(content, 'Notices drafted').map(([to]) => to)).toEqual(['Plant Health Office'])
    expect(tableOf(content, 'What cannot be known').flat().join()).toMatch(/insects/)
  })

  it('answers whether it was found by a test, is stopped, and could be followed', () => {
    const answers = new Map(whole.content.rules.map(({ rule, result }) => [rule, result]))
    const resultOf = (words: string) =>
      [...answers].find(([rule]) => rule.includes(words))?.[1] ?? 'no such rule'
    expect(resultOf('The finding from which this recall begins')).toBe('holds')
    expect(resultOf('An earlier test of the same source')).toBe('holds')
    expect(resultOf('A hold stops every source')).toBe('holds')
    expect(resultOf('No test of a source is positive')).toBe('does not hold')
  })

  it('carries the entries of tests, holds, blades, rows and names that it rests on', () => {
    const carried = new Set(kinds(whole.content))
    for (const kind of [
      'source.tested',
      'hold.placed',
      'tool.disinfected',
      'row.laid_out',
    ] as const)
      expect(carried).toContain(kind)
    expect(carried).toContain('party.registered')
  })

  it('is a PDF that qpdf finds clean, tagged', async (context) => {
    requireTool(context, 'qpdf', 'pdfinfo')
    const file = path.join(folder, 'recall.pdf')
    await writeFile(file, whole.pdf)
    const qpdf = spawnSync('qpdf', ['--check', file], { encoding: 'utf8' })
    expect([qpdf.status, qpdf.stderr]).toEqual([0, ''])
    expect(spawnSync('pdfinfo', [file], { encoding: 'utf8' }).stdout).toMatch(/Tagged: +yes/)
  })
})

describe('where more is reached than a dossier carries', () => {
  it('the chain is carried, and what is counted only is told by its index', async () => {
    const limit = whole.entries - 15
    const cut = await make(question, limit)
    expect(cut.entries).toBe(limit)
    const missing = [...indexesIn(whole.content)].filter((at) => !indexesIn(cut.content).has(at))
    expect(missing).toHaveLength(15)
    const missed = whole.content.proof.entries.filter(({ index }) => missing.includes(index))
    expect(new Set(missed.map(({ entry }) => kindOf(entry)))).toEqual(new Set(['graft.made']))
    const [row = []] = tableOf(cut.content, 'Vines that it may have reached, by row')
    expect(row.slice(0, 3)).toEqual(['Upper, row 1', '41', '2–41, 50'])
    expect(row[5]).toBe('26 of 41')
    expect(numbersIn(row[6] ?? '')).toEqual(missing.sort((one, other) => one - other))
    const vines = tableOf(cut.content, 'Vines that it may have reached, vine by vine')
    expect(vines.filter((cells) => cells[5] === 'counted only')).toHaveLength(15)
    const found = tableOf(cut.content, 'What was found')
    expect(found.find(([what]) => what === 'Entries that are counted only')?.[1]).toBe('15')
    const checks = await checkDossier(cut.json.toString('utf8'), { pdf: cut.pdf })
    expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
  })
})

describe('of another question', () => {
  it('says that a finding which nobody recorded is not known', async () => {
    const made = await make({ ...question, foundOn: '2027-05-20' })
    const rule = made.content.rules.find((one) => one.rule.startsWith('The finding from which'))
    expect(rule?.result).toBe('not known')
    expect(rule?.because).toContain('no entry records')
  })

  it('begins at a vine or a lot as well', async () => {
    const vine = { kind: 'vine', rowId: scene.id('row'), position: 3 } as const
    const lot = { kind: 'lot', id: scene.id('27-B1') } as const
    for (const start of [vine, lot]) {
      const made = await make({ ...question, start })
      const checks = await checkDossier(made.json.toString('utf8'), { pdf: made.pdf })
      expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
      expect(kinds(made.content)).toContain('graft.made')
    }
  })

  it('has one id for one question, and another for every other', () => {
    const others = [
      question,
      { ...question },
      { ...question, agent: agents.virus },
      { ...question, foundOn: '2027-05-02' },
      { ...question, start: { kind: 'lot', id: scene.id('bad') } } as const,
    ]
    expect(new Set(others.map((one) => recallId(one))).size).toBe(4)
  })

  it('says that a supplier is not known whom nobody registered', async () => {
    const other = new RecallScene('recall of received wood')
    const lotId = receive(other)
    await other.record(office.services.db)
    const start = { kind: 'lot', id: lotId } as const
    const ruleOf = async () => {
      const made = await make({ ...question, start })
      return made.content.rules.find(({ rule }) => rule.startsWith('The supplier is known'))
    }
    expect((await ruleOf())?.result).toBe('does not hold')
    const later = new RecallScene('recall of received wood, later')
    later.writer.add('party.registered', {
      partyId: other.id('supplier'),
      name: 'Hillfoot',
      role: 'supplier',
      registrationNumber: null,
      note: '',
    })
    await later.record(office.services.db)
    const answered = await ruleOf()
    expect(answered?.result).toBe('holds')
    expect(answered?.because).toBe('1 lot; their source is not known: came')
  })

  it('of which no entry tells is refused', async () => {
    const start = { kind: 'source', id: scene.id('nowhere') } as const
    await expect(make({ ...question, start })).rejects.toThrow(/no entry tells of this source/)
  })
})

function receive(other: RecallScene): string {
  const lotId = other.id('came')
  other.writer.add('lot.received', {
    lotId,
    reference: 'came',
    material: 'scion wood',
    varietyId: other.id('variety'),
    clone: null,
    scheme: null,
    class: null,
    harvestYear: 2026,
    budsPerStick: 6,
    supplierId: other.id('supplier'),
    supplierReference: null,
    passportCode: null,
    sourceId: null,
    unit: 'stick',
    count: 20,
    bundles: [],
    to: { kind: 'place', id: other.id('room') },
    note: '',
  })
  return lotId
}

function numbersIn(spans: string): number[] {
  return spans.split(', ').flatMap((span) => {
    const [from = 0, to = from] = span.split('–').map(Number)
    return Array.from({ length: to - from + 1 }, (_, nr) => from + nr)
  })
}
