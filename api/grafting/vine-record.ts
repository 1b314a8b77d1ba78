// Sorts a row's facts by vine: which vine each graft, check and skip belongs to.
import type { RowNow, StatedLayer } from '../nursery/read-blocks.ts'
import { groupBy } from './row-facts.ts'
import type { ChangeRow, CheckRow, GraftRow, RowFacts, SkipRow } from './row-facts.ts'
import { lifeAt, vineLives } from './vine-lives.ts'
import type { VineChange, VineLife } from './vine-lives.ts'

/** One vine that stands, or stood, at a position, with all that was done to it. */
export type VineLifeRecord = VineLife & {
  plantedYear: number | null
  /** From the roots up; empty when nobody recorded the trunk. */
  trunk: StatedLayer[]
  grafts: GraftRow[]
  checks: CheckRow[]
  skips: SkipRow[]
}

/** A position with every vine it had, earliest first; the last is the one that counts now. */
export type VineRecord = {
  position: number
  lives: VineLifeRecord[]
  /** Why no vine stands there now; null when one does. */
  absent: 'missing' | 'removed' | null
}

/**
 * The vines of every position of a row, then those recorded at positions that the row does not
 * have. Layouts do not begin or end a vine, because a layout is often only put right: plantings
 * and removals do.
 */
export function vineRecords(facts: RowFacts): VineRecord[] {
  const by = {
    changes: groupBy(facts.changes, (change) => change.position),
    grafts: groupBy(facts.grafts, (graft) => graft.position),
    checks: groupBy(facts.checks, (check) => check.position),
    skips: groupBy(facts.skips, (skip) => skip.position),
  }
  const positions = new Set(Array.from({ length: facts.row.position_count }, (_, nr) => nr + 1))
  for (const group of Object.values(by))
    for (const position of group.keys()) positions.add(position)
  const missing = new Set(facts.row.missing)
  return [...positions]
    .sort((one, other) => one - other)
    .map((position) => {
      const mine = {
        changes: by.changes.get(position) ?? [],
        grafts: by.grafts.get(position) ?? [],
        checks: by.checks.get(position) ?? [],
        skips: by.skips.get(position) ?? [],
      }
      return vineRecord(facts, position, missing.has(position), mine)
    })
}

/** Does the row, as it is laid out, have this position? */
export function isInRow(row: RowNow, position: number): boolean {
  return Number.isInteger(position) && position >= 1 && position <= row.position_count
}

/** Did a vine stand at the position at an instant, as far as is recorded now? */
export function stoodAt(record: VineRecord, at: number): boolean {
  const number = lifeAt(record.lives, at)
  const life = record.lives[number]
  if (life === undefined) return false
  if (number === record.lives.length - 1 && record.absent === 'missing') return false
  return life.endedAt === null || at < life.endedAt
}

type Mine = Pick<RowFacts, 'changes' | 'grafts' | 'checks' | 'skips'>

function vineRecord(facts: RowFacts, position: number, missing: boolean, mine: Mine): VineRecord {
  const laidOutAt = facts.row.laid_out_at.getTime()
  const lastGraftAt = mine.grafts.at(-1)?.grafted_at.getTime() ?? null
  const inRow = isInRow(facts.row, position)
  const seen = [lastGraftAt, inRow && !missing ? laidOutAt : null].filter((at) => at !== null)
  const seenAt = seen.length === 0 ? null : Math.max(...seen)
  const lives = vineLives(mine.changes.map(asChange), seenAt)
  const records = lives.map((life): VineLifeRecord => {
    const change = life.plantedBy
    const layers = trunkOf(facts, position, life)
    return {
      ...life,
      plantedYear: change?.plantedYear ?? plantedYearOf(facts, position, layers),
      trunk: layers,
      grafts: [],
      checks: [],
      skips: [],
    }
  })
  const owner = (at: Date) => records[lifeAt(lives, at.getTime())]
  for (const graft of mine.grafts) owner(graft.grafted_at)?.grafts.push(graft)
  for (const skip of mine.skips) owner(skip.occurred_at)?.skips.push(skip)
  for (const check of mine.checks) ownerOfCheck(check, records, owner)?.checks.push(check)
  return { position, lives: records, absent: absence(records, inRow, missing, laidOutAt) }
}

/** A check that names its graft goes with it, whatever the clocks said. */
function ownerOfCheck(
  check: CheckRow,
  records: VineLifeRecord[],
  owner: (at: Date) => VineLifeRecord | undefined,
): VineLifeRecord | undefined {
  const named = records.find((life) =>
    life.grafts.some((graft) => graft.graft_id === check.graft_id),
  )
  return named ?? owner(check.checked_at)
}

function absence(
  records: readonly VineLifeRecord[],
  inRow: boolean,
  missing: boolean,
  laidOutAt: number,
): VineRecord['absent'] {
  const last = records.at(-1)
  if (last === undefined || last.endedAt !== null) return 'removed'
  const lastGraft = last.grafts.at(-1)
  const seenLater =
    (last.plantedBy !== null && last.plantedBy.at >= laidOutAt) ||
    (lastGraft !== undefined && (!inRow || lastGraft.grafted_at.getTime() > laidOutAt))
  return (missing || !inRow) && !seenLater ? 'missing' : null
}

/** Of the layout and the planting that tell of a vine's trunk, the later that names a layer. */
function trunkOf(facts: RowFacts, position: number, life: VineLife): StatedLayer[] {
  const stated = (entryId: string) =>
    facts.layers.filter(
      (layer) =>
        layer.entry_id === entryId &&
        layer.from_position <= position &&
        position <= layer.to_position,
    )
  const planted = life.plantedBy === null ? [] : stated(life.plantedBy.entryId)
  if (life.endedAt === null) {
    const isNewer = life.plantedBy !== null && life.plantedBy.at >= facts.row.laid_out_at.getTime()
    if (isNewer) return planted
    const laidOut = stated(facts.row.entry_id)
    return laidOut.length > 0 ? laidOut : planted
  }
  if (life.plantedBy !== null) return planted
  const endedAt = life.endedAt
  const before = facts.layouts.find((layout) => layout.occurred_at.getTime() < endedAt)
  const layout = before ?? facts.layouts.at(-1)
  return layout === undefined ? [] : stated(layout.entry_id)
}

function plantedYearOf(facts: RowFacts, position: number, layers: readonly StatedLayer[]) {
  const [layer] = layers
  if (layer !== undefined) return layer.planted_year
  const section = facts.row.sections.find(
    (one) => one.from_position <= position && position <= one.to_position,
  )
  return section?.planted_year ?? null
}

function asChange(change: ChangeRow): VineChange {
  return {
    entryId: change.entry_id,
    what: change.what,
    at: change.occurred_at.getTime(),
    plantedYear: change.planted_year,
    reason: change.reason,
  }
}
