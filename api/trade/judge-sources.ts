// Whether the lot's sources are known and were in good standing when the wood was cut.
import type { KnownLotFacts, SourceFacts, StandingChange } from './lot-facts.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'

/**
 * Judges every source by its standing at the cut date, and then by its standing now: wood cut in
 * good time from a source that was suspended later asks for caution.
 */
export function judgeSources(lot: KnownLotFacts, now: number): Reason[] {
  const ordered = [...lot.sources].sort(
    (one, other) =>
      compareText(one.sourceId, other.sourceId) || (one.cutAt ?? 0) - (other.cutAt ?? 0),
  )
  const reasons = ordered.flatMap((source) =>
    judgeSource(source, source.cutAt === undefined ? lot.cutAt : source.cutAt, now),
  )
  if (lot.originUnknown || lot.sources.length === 0) {
    reasons.push(reasonOf('source.unknown', { knownSources: lot.sources.length }))
  }
  return reasons
}

/**
 * The standing that held at a moment (epoch milliseconds), or null when none was recorded by then.
 * Of changes at the same moment the worst counts, so that their order does not matter.
 */
export function standingAt(source: SourceFacts, moment: number): StandingChange | null {
  let found: StandingChange | null = null
  for (const change of source.standings) {
    if (change.fromAt > moment) continue
    if (found === null || isAfter(change, found)) found = change
  }
  return found
}

const SEVERITY = { good: 0, suspended: 1, withdrawn: 2 } as const

function isAfter(change: StandingChange, found: StandingChange): boolean {
  if (change.fromAt !== found.fromAt) return change.fromAt > found.fromAt
  return SEVERITY[change.standing] > SEVERITY[found.standing]
}

function judgeSource(source: SourceFacts, cutAt: number | null, now: number): Reason[] {
  const sourceId = source.sourceId
  const atCut = cutAt === null ? null : standingAt(source, cutAt)
  if (atCut !== null && atCut.standing !== 'good') {
    const facts = { sourceId, sinceAt: atCut.fromAt }
    return [
      atCut.standing === 'suspended'
        ? reasonOf('source.suspended_at_cut', facts)
        : reasonOf('source.withdrawn_at_cut', facts),
    ]
  }
  const reasons: Reason[] = []
  if (atCut === null) reasons.push(reasonOf('source.standing_unknown', { sourceId, sinceAt: null }))
  const current = standingAt(source, now)
  if (current === null || current.standing === 'good') return reasons
  const facts = { sourceId, sinceAt: current.fromAt }
  reasons.push(
    current.standing === 'suspended'
      ? reasonOf('source.suspended_later', facts)
      : reasonOf('source.withdrawn_later', facts),
  )
  return reasons
}

function compareText(one: string, other: string): number {
  return one < other ? -1 : one > other ? 1 : 0
}
