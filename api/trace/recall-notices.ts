// Drafts what could be told to whom in a recall; a person reads, mends and sends it.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { counted } from '../custody/finding-word-shape.ts'
import type { Recall } from './recall.ts'
import { routeWords, sinceWords, unknownWords } from './recall-words.ts'

/** One draft: to whom, their id on the register, and the text. */
export type Notice = { to: string; partyId: string; role: string; text: string }

type Told = { party_id: string; name: string; role: string; lots: string[] }

/**
 * A draft for each plant-health authority on the register, each supplier of a lot that is reached
 * or lies upstream, and each crew or person who holds wood of a lot that is reached.
 */
export async function draftNotices(
  db: Database,
  recall: Recall,
  nursery: string,
): Promise<Notice[]> {
  const [authorities, suppliers, holders] = await Promise.all([
    partiesOf(db, 'authority'),
    suppliersOf(db, recall),
    holdersOf(db, recall),
  ])
  return [
    ...authorities.map((party) => notice(party, nursery, authorityText(recall))),
    ...suppliers.map((party) => notice(party, nursery, supplierText(recall, party.lots))),
    ...holders.map((party) => notice(party, nursery, holderText(recall, party.lots))),
  ]
}

function notice({ name, role, party_id: partyId }: Told, nursery: string, body: string): Notice {
  return { to: name, partyId, role, text: `To: ${name}\nFrom: ${nursery}\n\n${body}\n` }
}

const found = ({ question }: Recall) =>
  `${question.agent} was found in material sampled on ${question.foundOn}.`

function authorityText(recall: Recall): string {
  const { lots, rows, vineCount } = recall
  return [
    found(recall),
    sinceWords(recall),
    `By our records it may have reached ${counted(lots.length, 'lot')} and ` +
      `${counted(vineCount, 'vine')} in ${counted(rows.length, 'row')}, followed by: ` +
      `${[...recall.routes].map((route) => routeWords[route]).join('; ')}.`,
    `Lots: ${lots.map((lot) => lot.reference).join(', ') || 'none'}.`,
    `Rows: ${rows.map(rowName).join(', ') || 'none'}.`,
    'What our records cannot tell:',
    ...recall.unknowns.map((unknown) => `- ${unknownWords(unknown)}`),
    'The records behind this can be opened to you, and check themselves.',
  ].join('\n')
}

const rowName = ({ block, row_label }: Recall['rows'][number]) =>
  `${block ?? 'block'} ${row_label ?? ''}`.trim()

function supplierText(recall: Recall, lots: string[]): string {
  return [
    found(recall),
    `Wood that you supplied is made of, or came before, what is affected: ${lots.join(', ')}.`,
    'Please tell us what you know of its sources, their tests and their dates.',
  ].join('\n')
}

function holderText(recall: Recall, lots: string[]): string {
  return [
    found(recall),
    `You hold wood that it may have reached: ${lots.join(', ')}.`,
    'Do not use, move or discard it until you hear from us. Disinfect blades and hands before ' +
      'other work, as the label of the disinfectant says.',
  ].join('\n')
}

async function partiesOf(db: Database, role: string): Promise<Told[]> {
  const rows = await sql<Omit<Told, 'lots'>>`
    select party_id, name, role from party_now where role = ${role} order by name`.execute(db)
  return rows.rows.map((row) => ({ ...row, lots: [] }))
}

async function suppliersOf(db: Database, recall: Recall): Promise<Told[]> {
  const ids = [...recall.lots, ...recall.upstream.lots].map((lot) => lot.lot_id)
  const rows = await sql<Told>`
    select p.party_id, p.name, p.role, array_agg(distinct l.reference) as lots
    from lot_first l join party_now p on p.party_id = l.supplier_id
    where l.lot_id = any(${ids}::uuid[]) group by 1, 2, 3 order by 2`.execute(db)
  return rows.rows
}

async function holdersOf(db: Database, recall: Recall): Promise<Told[]> {
  const ids = recall.lots.map((lot) => lot.lot_id)
  const rows = await sql<Told>`
    select b.account_id as party_id, coalesce(p.name, h.name, 'a holder') as name,
      'holder' as role, array_agg(distinct l.reference) as lots
    from balance b
      join lot_first l on l.lot_id = b.lot_id
      left join party_now p on p.party_id = b.account_id
      left join person h on h.person_id = b.account_id
    where b.lot_id = any(${ids}::uuid[]) and b.account_kind = 'holder' and b.count > 0
    group by 1, 2 order by 2`.execute(db)
  return rows.rows
}
