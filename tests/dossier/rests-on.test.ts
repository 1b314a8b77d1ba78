// Whatever a dossier states rests on an entry that it carries, or says that none tells of it.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { DossierContent, DossierSubject } from '../../api/dossier/dossier-shape.ts'
import { recallId } from '../../api/trace/recall-question.ts'
import { busyVine, dossierOffice } from './dossier-office.ts'
import type { DossierOffice } from './dossier-office.ts'
import { indexesIn } from './read-content.ts'

let office: DossierOffice
const made = new Map<string, DossierContent>()

beforeAll(async () => {
  office = await dossierOffice('vines.example/journal')
  const subjects = await subjectsOf(office)
  for (const subject of subjects) made.set(subject.kind, (await office.make(subject)).content)
}, 120_000)
afterAll(() => office.drop())

async function subjectsOf({ services: { db } }: DossierOffice): Promise<DossierSubject[]> {
  const { rowId, lotId } = await busyVine(office)
  const graft = await db
    .selectFrom('graft')
    .innerJoin('block_row_now', 'block_row_now.row_id', 'graft.row_id')
    .select(['position', 'block_id'])
    .where('graft.row_id', '=', rowId)
    .executeTakeFirstOrThrow()
  const test = await db
    .selectFrom('source_test')
    .select(['source_id', 'agent', 'sampled_on'])
    .where('result', '=', 'detected')
    .executeTakeFirstOrThrow()
  const start = { kind: 'source', id: test.source_id } as const
  const question = { start, agent: test.agent, foundOn: test.sampled_on }
  return [
    { kind: 'lot', id: lotId, position: 0 },
    { kind: 'vine', id: rowId, position: graft.position },
    { kind: 'row', id: rowId, position: 0 },
    { kind: 'block', id: graft.block_id, position: 0 },
    { kind: 'recall', id: recallId(question), position: 0, question },
  ]
}

/** Tables whose note says that a row may rest on no entry. */
const saysSo = /No entry tells of them|without an entry is a default|without entries is about none/

/** What only says that nothing is there. */
const isAbsence = /^no .* is on record$|^none is open$|^no lot among these/

const kinds = ['lot', 'vine', 'row', 'block', 'recall'] as const
const contentOf = (kind: (typeof kinds)[number]) => {
  const content = made.get(kind)
  if (content === undefined) throw new Error(`no dossier of a ${kind} was made`)
  return content
}

describe.each(kinds)('of a %s', (kind) => {
  it('each row of each table names an entry', () => {
    const bare = contentOf(kind).tables.flatMap(({ title, note, rows }) =>
      saysSo.test(note)
        ? []
        : rows.filter(({ entries }) => entries.length === 0).map(({ cells }) => [title, ...cells]),
    )
    expect(bare).toEqual([])
  })

  it('each answer names an entry, or says that nothing is on record', () => {
    const bare = contentOf(kind).rules.filter(
      ({ entries, because }) => entries.length === 0 && !isAbsence.test(because),
    )
    expect(bare.map(({ rule, because }) => `${rule}: ${because}`)).toEqual([])
  })

  it('each entry that is named is carried', () => {
    const content = contentOf(kind)
    const carried = indexesIn(content)
    const rows = content.tables.flatMap((table) => table.rows)
    const named = [...content.rules, ...rows].flatMap(({ entries }) => entries)
    expect(named.filter((index) => !carried.has(index))).toEqual([])
    expect(named.length).toBeGreaterThan(20)
  })
})
