// When wood lay in which place or bath, worked out from what moved in and out.
import { budEquivalents } from './stock-left.ts'

/** One continuous time in a place or bath (epoch milliseconds; null while it lasts). */
export interface WoodSpan {
  readonly kind: 'place' | 'bath'
  readonly id: string
  readonly beganAt: number
  readonly endedAt: number | null
}

/** Wood that came into an account (count above zero) or left it; `at` in epoch milliseconds. */
export interface WoodMove {
  readonly kind: string
  readonly id: string
  readonly unit: 'stick' | 'bud'
  readonly count: number
  readonly at: number
}

/** The order in which moves are told: by time, and at one instant what came in before what left. */
export function inOrderOfTime(one: WoodMove, other: WoodMove): number {
  return one.at - other.at || other.count - one.count
}

/**
 * The spans that these moves, in order of time, make up in places and baths; other accounts are
 * passed over. A span begins when the account first holds something and ends when nothing is left
 * of it, sticks and buds reckoned together. More going out than came in leaves nothing, not less:
 * what comes next is there. Wood that goes out of an account it never came into was in it for an
 * unknown time: a span without length.
 */
export function spansOf(moves: readonly WoodMove[], budsPerStick: number): WoodSpan[] {
  const spans: WoodSpan[] = []
  const open = new Map<string, { held: number; beganAt: number | null }>()
  for (const { kind, id, unit, count, at } of moves) {
    if (kind !== 'place' && kind !== 'bath') continue
    const key = `${kind} ${id}`
    const state = open.get(key) ?? { held: 0, beganAt: null }
    open.set(key, state)
    const sticks = unit === 'stick' ? count : 0
    const buds = unit === 'bud' ? count : 0
    state.held = Math.max(0, state.held + budEquivalents({ sticks, buds }, budsPerStick))
    state.beganAt ??= at
    if (state.held > 0) continue
    spans.push({ kind, id, beganAt: state.beganAt, endedAt: at })
    state.beganAt = null
  }
  for (const [key, { beganAt }] of open) {
    if (beganAt === null) continue
    const [kind = '', id = ''] = key.split(' ')
    spans.push({ kind: kind === 'bath' ? 'bath' : 'place', id, beganAt, endedAt: null })
  }
  return spans
}

/** As much of a span as lies before `untilAt` (epoch milliseconds): one span or none. */
export function clippedSpan(span: WoodSpan, untilAt: number): WoodSpan[] {
  if (untilAt === Number.POSITIVE_INFINITY) return [span]
  if (span.beganAt >= untilAt) return []
  const endedAt = span.endedAt === null ? untilAt : Math.min(span.endedAt, untilAt)
  return [{ ...span, endedAt }]
}
