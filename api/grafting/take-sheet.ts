// Reads a count of take: line by line, or as “all from 1 to 60 growing except 4 failed”.
import type { EntryBody } from '#wire/entry.ts'
import { writePositionList } from '../nursery/position-list.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { readPositionWords } from './position-words.ts'
import type { GraftRow } from './row-facts.ts'

/** Buds of one graft by what was seen; the rest were not looked at. */
export type BudCounts = { growing: number; callused: number; failed: number }

/** What one vine's grafts were found to be; no graft where the buds were not told apart. */
export type VineCount = {
  position: number
  grafts: { graft: GraftRow | null; counts: BudCounts }[]
}

type Fate = keyof BudCounts | 'not seen'

const fates: Readonly<Record<string, Fate>> = {
  growing: 'growing',
  grows: 'growing',
  callused: 'callused',
  callus: 'callused',
  still: 'callused',
  failed: 'failed',
  dead: 'failed',
  'not seen': 'not seen',
  unseen: 'not seen',
}

/** The quick entry: a stretch of grafted vines that grow, but for some. */
export type QuickCount = {
  fromPosition: number
  toPosition: number
  /** Whether every bud set grows, or one on each vine and the others were not counted. */
  buds: 'all' | 'one'
  except: string
}

/**
 * Counts for every grafted vine of the stretch. A vine named in `except` has the fate written
 * there, all its buds alike; vines without a graft are passed over.
 */
export function quickCounts(
  vines: ReadonlyMap<number, readonly GraftRow[]>,
  quick: QuickCount,
): { counts: VineCount[]; problems: FieldProblem[] } {
  const problem = (field: string, message: string) => ({
    counts: [],
    problems: [{ field, message }],
  })
  const from = Math.min(quick.fromPosition, quick.toPosition)
  const to = Math.max(quick.fromPosition, quick.toPosition)
  const read = readPositionWords(quick.except, 'write it like 4 failed; 9, 11 callused')
  if (!read.ok) return problem('except', read.message)
  const fateAt = new Map<number, Fate>()
  for (const { positions, words } of read.parts) {
    const fate = fates[words.toLowerCase().trim()]
    if (fate === undefined) {
      const message = `“${words}” is none of growing, callused, failed, not seen`
      return problem('except', message)
    }
    for (const position of positions) fateAt.set(position, fate)
  }
  const strange = [...fateAt.keys()].filter(
    (position) => position < from || position > to || !vines.has(position),
  )
  if (strange.length > 0) {
    const message =
      `${writePositionList(strange)} ${strange.length === 1 ? 'is' : 'are'} no grafted ` +
      `vine from ${from} to ${to}: check the positions`
    return problem('except', message)
  }
  const counted = [...vines].filter(([position]) => position >= from && position <= to)
  if (counted.length === 0) {
    return problem('growFrom', `no vine from ${from} to ${to} was grafted: check the positions`)
  }
  const counts = counted.flatMap(([position, grafts]): VineCount[] => {
    const fate = fateAt.get(position)
    if (fate === 'not seen') return []
    if (fate !== undefined) {
      const all = grafts.map((graft) => ({ graft, counts: alike(fate, graft.bud_count) }))
      return [{ position, grafts: all }]
    }
    return growingCount(position, grafts, quick.buds)
  })
  return { counts, problems: [] }
}

/** What was typed on the lines of single grafts, as text. */
export type TypedCounts = { growing: string; callused: string; failed: string }

/**
 * Counts typed line by line; a line left empty was not looked at, an empty cell beside a filled
 * one is none. `fieldOf` names the input of a graft's cell.
 */
export function typedCounts(
  vines: ReadonlyMap<number, readonly GraftRow[]>,
  typedOf: (graftId: string) => TypedCounts,
  fieldOf: (word: keyof BudCounts, graftId: string) => string,
): { counts: VineCount[]; problems: FieldProblem[] } {
  const problems: FieldProblem[] = []
  const counts: VineCount[] = []
  for (const [position, grafts] of vines) {
    const filled: VineCount['grafts'] = []
    for (const graft of grafts) {
      const typed = typedOf(graft.graft_id)
      if (Object.values(typed).every((text) => text === '')) continue
      const read = { growing: 0, callused: 0, failed: 0 }
      let sound = true
      for (const word of ['growing', 'callused', 'failed'] as const) {
        const text = typed[word]
        if (/^\d{0,2}$/.test(text)) {
          read[word] = Number(text)
          continue
        }
        sound = false
        const message = `vine ${position}: write a number of buds, not ${text}`
        problems.push({ field: fieldOf(word, graft.graft_id), message })
      }
      const sum = read.growing + read.callused + read.failed
      if (sound && sum > graft.bud_count) {
        const message = `vine ${position}: ${sum} buds counted, but ${graft.bud_count} were set`
        problems.push({ field: fieldOf('growing', graft.graft_id), message })
      } else if (sound && sum === 0) {
        const message = `vine ${position}: 0 of everything says nothing; leave the line empty`
        problems.push({ field: fieldOf('growing', graft.graft_id), message })
      } else if (sound) filled.push({ graft, counts: read })
    }
    if (filled.length > 0) counts.push({ position, grafts: filled })
  }
  return { counts, problems }
}

/** The body of a vine's take check. */
export function checkBody(
  rowId: string,
  count: VineCount,
  shootLengthMm: number | null = null,
  note = '',
): EntryBody<'take.checked'> {
  return {
    vine: { rowId, position: count.position },
    results: count.grafts.map(({ graft, counts }) => ({
      graftId: graft?.graft_id ?? null,
      ...counts,
    })),
    shootLengthMm,
    note,
  }
}

function growingCount(
  position: number,
  grafts: readonly GraftRow[],
  buds: QuickCount['buds'],
): VineCount[] {
  if (buds === 'all') {
    const all = grafts.map((graft) => ({ graft, counts: alike('growing', graft.bud_count) }))
    return [{ position, grafts: all }]
  }
  // One living bud: where a vine has several grafts, nobody said on which it is.
  const [first] = grafts
  if (first === undefined) return []
  const graft = grafts.length === 1 ? first : null
  return [{ position, grafts: [{ graft, counts: alike('growing', 1) }] }]
}

function alike(fate: keyof BudCounts, count: number): BudCounts {
  return { growing: 0, callused: 0, failed: 0, [fate]: count }
}
