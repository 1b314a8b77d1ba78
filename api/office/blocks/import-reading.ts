// Reads an uploaded block file against what is registered, without writing anything.
import type { Context } from 'hono'
import { parseBlockCsv } from '../../nursery/block-csv.ts'
import type { BlockCsvResult, CsvProblem, KnownVariety } from '../../nursery/block-csv-types.ts'
import { listRows } from '../../nursery/read-blocks.ts'
import { listVarieties } from '../../nursery/read.ts'
import { recordedInRows } from '../../nursery/recorded-in-rows.ts'
import { importProblems, planImport } from '../../nursery/row-import.ts'
import type { RowImport } from '../../nursery/row-import.ts'
import { unknownVarieties } from '../../nursery/unknown-varieties.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { thisYear } from './rows-form.tsx'

/** A file as it came, and how its rows are ordered. */
export type UploadedFile = { bytes: Uint8Array; rowsNumberedFrom: 'first' | 'last' }

/** What a file holds and what reading it in would do. */
export type ImportReading = {
  file: UploadedFile
  result: BlockCsvResult
  /** Names that are not registered; the problems about them stand in `result.problems`. */
  unknown: string[]
  /** Whether every problem is that a variety is not registered. */
  onlyUnknown: boolean
  /** What would be written; null while there are problems. */
  plan: RowImport | null
  /** Problems of the rows beside what is recorded of the block. */
  rowProblems: { label: string; message: string }[]
}

/** Reads the file; `registering` are varieties that would be registered with it. */
export async function readImport(
  c: Context<Env>,
  blockId: string,
  file: UploadedFile,
  registering: readonly KnownVariety[] = [],
): Promise<ImportReading> {
  const { db } = c.get('services')
  const registered = (await listVarieties(db)).map(({ variety_id, name, synonyms }) => ({
    id: variety_id,
    name,
    synonyms,
  }))
  const knownVarieties = [...registered, ...registering]
  const { rowsNumberedFrom } = file
  const options = { rowsNumberedFrom, knownVarieties, currentYear: await thisYear(c) }
  const result = parseBlockCsv(file.bytes, options)
  const unknown = unknownVarieties(result.problems, knownVarieties)
  const onlyUnknown = unknown.length > 0 && isOnlyUnknown(file, options, unknown)
  if (result.problems.length > 0) {
    return { file, result, unknown, onlyUnknown, plan: null, rowProblems: [] }
  }
  const existing = await listRows(db, blockId)
  const recorded = await recordedInRows(
    db,
    existing.map((row) => row.row_id),
  )
  const varietyIds = new Map(knownVarieties.map((variety) => [variety.name, variety.id]))
  const plan = planImport(blockId, result.rows, existing, {
    varietyIds,
    recorded,
    newRowId: newId,
  })
  return { file, result, unknown, onlyUnknown, plan, rowProblems: importProblems(plan, recorded) }
}

/** Would the file be right if the unknown names were registered? */
function isOnlyUnknown(
  file: UploadedFile,
  options: Parameters<typeof parseBlockCsv>[1],
  unknown: readonly string[],
): boolean {
  const named = unknown.map((name) => ({ id: newId(), name, synonyms: [] }))
  const knownVarieties = [...options.knownVarieties, ...named]
  return parseBlockCsv(file.bytes, { ...options, knownVarieties }).problems.length === 0
}

/** The bytes as a form can carry them from one page to the next. */
export function carried(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('base64')
}

/** The bytes back; they are read anew, so whatever came back can do no harm. */
export function fromCarried(text: string): Uint8Array {
  return Buffer.from(text, 'base64')
}

/** A problem's place in words: `line 4, rootstock`. */
export function placeWords({ line, column }: CsvProblem): string {
  const parts = [line === null ? 'the file' : `line ${line}`, ...(column === null ? [] : [column])]
  return parts.join(', ')
}
