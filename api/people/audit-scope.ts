// Finds the lots, vines and recalls that somebody typed for an auditor's link, line by line.
import type { Database } from '../../db/connect.ts'
import { POSITION_LIMIT } from '#wire/basics.ts'
import { sql } from 'kysely'
import { readNames } from '../journal/names.ts'
import { questionOfQuery } from '../trace/recall-question.ts'
import type { OpenedThing } from './audit-links.ts'

/** What was found, and a problem for each line that fits nothing. */
export type FoundScope = { things: OpenedThing[]; problems: string[] }

/** Lots by reference, one on each line; a reference that several lots have opens none of them. */
export async function findLots(db: Database, text: string): Promise<FoundScope> {
  const found: FoundScope = { things: [], problems: [] }
  for (const [nr, reference] of filledLines(text)) {
    const lots = await db
      .selectFrom('lot_first')
      .select('lot_id')
      .where('reference', '=', reference)
      .limit(2)
      .execute()
    const [lot, second] = lots
    if (lot === undefined) found.problems.push(`line ${nr}: no lot is called ${reference}`)
    else if (second !== undefined)
      found.problems.push(`line ${nr}: several are called ${reference}`)
    else found.things.push({ kind: 'lot', lotId: lot.lot_id })
  }
  return found
}

/** Vines one on each line, as `block / row / position`. */
export async function findVines(db: Database, text: string): Promise<FoundScope> {
  const found: FoundScope = { things: [], problems: [] }
  for (const [nr, line] of filledLines(text)) {
    const parts = line.split('/').map((part) => part.trim())
    const [block = '', row = '', position = ''] = parts
    if (parts.length !== 3 || !/^\d{1,5}$/.test(position)) {
      found.problems.push(`line ${nr}: write it like Upper block / 4 / 17`)
      continue
    }
    const rows = await sql<{ row_id: string; position_count: number }>`
      select r.row_id, r.position_count from block_row_now r
        join block_now b on b.block_id = r.block_id
      where b.name = ${block} and r.label = ${row} limit 2`.execute(db)
    const [place, second] = rows.rows
    const last = Math.min(place?.position_count ?? 0, POSITION_LIMIT)
    if (place === undefined) {
      found.problems.push(`line ${nr}: there is no row ${row} in a block called ${block}`)
    } else if (second !== undefined) {
      found.problems.push(`line ${nr}: several rows are called so; open the block instead`)
    } else if (Number(position) < 1 || Number(position) > last) {
      found.problems.push(`line ${nr}: row ${row} has positions 1 to ${last}`)
    } else {
      found.things.push({ kind: 'vine', rowId: place.row_id, position: Number(position) })
    }
  }
  return found
}

/** Recalls one on each line, as the address of their page or what stands after its `?`. */
export async function findRecalls(db: Database, text: string): Promise<FoundScope> {
  const found: FoundScope = { things: [], problems: [] }
  for (const [nr, line] of filledLines(text)) {
    const question = questionOfQuery(line.slice(line.indexOf('?') + 1))
    if (question === null) {
      found.problems.push(`line ${nr}: this asks for no recall; copy the address of its page`)
      continue
    }
    const { start } = question
    const id = start.kind === 'vine' ? start.rowId : start.id
    if ((await readNames(db, [id])).size === 0) {
      found.problems.push(`line ${nr}: no entry tells of this ${start.kind}`)
    } else found.things.push({ kind: 'recall', question })
  }
  return found
}

function filledLines(text: string): [number, string][] {
  return text
    .split(/\r\n|\n|\r/)
    .map((line, nr): [number, string] => [nr + 1, line.trim()])
    .filter(([, line]) => line !== '')
}
