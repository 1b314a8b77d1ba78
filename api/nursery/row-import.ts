// Turns rows read from a CSV file into layouts: which are new, which replace a row, what is kept.
import type { EntryBody } from '#wire/entry.ts'
import { foldName } from './closest-name.ts'
import type { ParsedRow, ParsedSection, TrunkPart } from './block-csv-types.ts'
import { writePositionList } from './position-list.ts'
import type { LayerNow, RowNow } from './read-blocks.ts'

type Layout = EntryBody<'row.laid_out'>
type Section = Layout['sections'][number]
type Layer = Section['layers'][number]

/** One row of the file, and the row of the block that it replaces, if any. */
export type ImportedRow = {
  parsed: ParsedRow
  replaces: RowNow | null
  layout: Layout
  /** What the person should know before confirming. */
  notes: string[]
}

/** What an import would do; nothing is written by making it. */
export type RowImport = {
  rows: ImportedRow[]
  /** Rows of the block that the file does not name; they stay as they are. */
  untouched: RowNow[]
}

/** What is recorded beside the layouts, by row id. */
export type RecordedInRow = {
  /** The highest position that a graft is recorded at. */
  lastGrafted: number
  /** Positions whose vine was removed and not planted again. */
  removed: number[]
}

/**
 * Matches rows by label (capitals and accents aside). A replaced row keeps its id, its head and
 * the known origin of every trunk layer that is the same wood. When the file names only some of
 * the block's rows, those keep their place and new ones follow after the last.
 */
export function planImport(
  blockId: string,
  parsed: readonly ParsedRow[],
  existing: readonly RowNow[],
  options: {
    varietyIds: ReadonlyMap<string, string>
    recorded: ReadonlyMap<string, RecordedInRow>
    newRowId: () => string
  },
): RowImport {
  const byLabel = new Map(existing.map((row) => [foldName(row.label), row]))
  const named = new Set(parsed.map((row) => foldName(row.label)))
  const untouched = existing.filter((row) => !named.has(foldName(row.label)))
  const last = Math.max(0, ...existing.map((row) => row.sequence))
  let added = 0
  const rows = parsed.map((row): ImportedRow => {
    const replaces = byLabel.get(foldName(row.label)) ?? null
    if (replaces === null) added += 1
    const apart = replaces?.sequence ?? last + added
    const sequence = untouched.length === 0 ? row.sequence : apart
    const rowId = replaces?.row_id ?? options.newRowId()
    const sections = row.sections.map((section) => sectionOf(section, replaces, options.varietyIds))
    const layout: Layout = {
      rowId,
      blockId,
      label: row.label,
      sequence,
      positionCount: row.positionCount,
      headAt: replaces?.head_at ?? null,
      missing: row.missing,
      sections,
    }
    const recorded = replaces === null ? undefined : options.recorded.get(replaces.row_id)
    return { parsed: row, replaces, layout, notes: notesOf(row, replaces, layout, recorded) }
  })
  return { rows, untouched }
}

/** What makes an import impossible, by row label: grafts that would fall off the row's end. */
export function importProblems(
  plan: RowImport,
  recorded: ReadonlyMap<string, RecordedInRow>,
): { label: string; message: string }[] {
  return plan.rows.flatMap(({ parsed, replaces }) => {
    const last = replaces === null ? 0 : (recorded.get(replaces.row_id)?.lastGrafted ?? 0)
    if (last <= parsed.positionCount) return []
    const message =
      `grafts are recorded up to position ${last}, but the file ends the row at ` +
      `${parsed.positionCount}: correct the file, or withdraw those grafts first`
    return [{ label: parsed.label, message }]
  })
}

/** A row as it stands, in the shape that the CSV writer takes. */
export function asParsedRow(row: RowNow): ParsedRow {
  return {
    label: row.label,
    sequence: row.sequence,
    positionCount: row.position_count,
    missing: row.missing,
    sections: row.sections.map((section) => ({
      fromPosition: section.from_position,
      toPosition: section.to_position,
      plantedYear: section.planted_year,
      rootstock: partOf(section.layers.find((layer) => layer.role === 'rootstock')),
      interstock: partOf(section.layers.find((layer) => layer.role === 'interstock')),
    })),
  }
}

function partOf(layer: LayerNow | undefined): TrunkPart | null {
  if (layer === undefined) return null
  return { name: layer.variety ?? 'unknown', clone: layer.clone }
}

function sectionOf(
  section: ParsedSection,
  replaces: RowNow | null,
  varietyIds: ReadonlyMap<string, string>,
): Section {
  const { fromPosition, toPosition, plantedYear } = section
  const layers: Layer[] = []
  for (const role of ['rootstock', 'interstock'] as const) {
    const part = section[role]
    if (part === null) continue
    const varietyId = varietyIds.get(part.name)
    if (varietyId === undefined) throw new Error(`the reader let “${part.name}” pass unregistered`)
    const wood = { role, varietyId, clone: part.clone }
    layers.push({ ...wood, origin: keptOrigin(wood, section, replaces) })
  }
  return { fromPosition, toPosition, plantedYear, layers }
}

/** The origin that the replaced row knew for the same wood all along the section. */
function keptOrigin(
  wood: Omit<Layer, 'origin'>,
  section: ParsedSection,
  replaces: RowNow | null,
): Layer['origin'] {
  const before = (replaces?.sections ?? []).filter(
    (old) => old.from_position <= section.toPosition && section.fromPosition <= old.to_position,
  )
  const origins = before.map((old) => old.layers.find((layer) => isSameWood(layer, wood)))
  const [first] = origins
  const covered = before.some(
    (old) => old.from_position <= section.fromPosition && section.toPosition <= old.to_position,
  )
  const same = origins.every((layer) => layer?.origin_id === first?.origin_id)
  const known = first?.origin_id ?? null
  if (first === undefined || known === null || !same || !covered) return { kind: 'unknown' }
  return first.origin_kind === 'unknown'
    ? { kind: 'unknown' }
    : { kind: first.origin_kind, id: known }
}

function isSameWood(layer: LayerNow, wood: Omit<Layer, 'origin'>): boolean {
  return (
    layer.role === wood.role && layer.variety_id === wood.varietyId && layer.clone === wood.clone
  )
}

function notesOf(
  row: ParsedRow,
  replaces: RowNow | null,
  layout: Layout,
  recorded: RecordedInRow | undefined,
): string[] {
  if (replaces === null) return []
  const notes: string[] = []
  if (replaces.position_count !== row.positionCount) {
    notes.push(`${row.positionCount} positions instead of ${replaces.position_count}`)
  }
  const missing = new Set(row.missing)
  const back = (recorded?.removed ?? []).filter(
    (position) => position <= row.positionCount && !missing.has(position),
  )
  if (back.length > 0) {
    notes.push(
      `the file has a vine at ${writePositionList(back)}, where one was removed: it will count ` +
        'as another vine; list the position as missing if none stands there',
    )
  }
  const lost = originsLost(replaces, layout)
  if (lost > 0) {
    notes.push(`the known origin of ${lost} trunk layer${lost === 1 ? '' : 's'} is not kept`)
  }
  const dropped = replaces.sections.filter((section) => section.layers.length > 2).length
  if (dropped > 0) {
    notes.push('the file holds one interstock; the further layers of the trunk are not kept')
  }
  return notes
}

function originsLost(replaces: RowNow, layout: Layout): number {
  const kept = new Set(
    layout.sections.flatMap((section) =>
      section.layers.flatMap(({ origin }) => (origin.kind === 'unknown' ? [] : [origin.id])),
    ),
  )
  const known = new Set(
    replaces.sections.flatMap((section) =>
      section.layers.flatMap((layer) => (layer.origin_id === null ? [] : [layer.origin_id])),
    ),
  )
  return [...known].filter((id) => !kept.has(id)).length
}
