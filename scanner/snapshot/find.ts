// What a scanned or typed text turns out to be; whatever the text, it never fails.
import { isTagCode, parseTagInput } from '#trade/tag-code.ts'
import type { TagInput } from '#trade/tag-code.ts'
import type { ThingShape } from '#wire/basics.ts'
import { readHandoverText } from '#wire/handover.ts'
import type { SnapshotCodeShape } from '#wire/api-snapshot.ts'
import type { Found } from '../phone.ts'

/** What is known of codes; `host` is null while the nursery has set none. */
export interface KnownCodes {
  readonly host: string | null
  codeOf(code: string): SnapshotCodeShape | undefined
}

/** Longest text that can be a code typed with a slip, in characters. */
const SLIP_LIMIT = 20

/** Reads any text; null for `known` says that this phone has fetched no records yet. */
export function findText(text: string, known: KnownCodes | null): Found {
  const handover = readHandoverText(text)
  if (handover !== null) return { what: 'handover', handoverId: handover.handoverId, text }
  const input = parseTagInput(text)
  if (!input.ok) return notACode(text, input, known)
  const { code, host } = input
  if (known === null) return { what: 'unknown code', code }
  if (host !== null && host !== known.host) return { what: 'other nursery', code, host }
  return foundCode(code, known.codeOf(code))
}

function foundCode(code: string, known: SnapshotCodeShape | undefined): Found {
  const end = known?.ends[0]
  if (end !== undefined) return { what: 'ended', code, spoiled: end[0] === 'spoiled' }
  const bound = known?.bindings[0]
  if (bound !== undefined) {
    const [kind, id] = bound
    return { what: 'thing', code, thing: { kind: kind as ThingShape['kind'], id } }
  }
  return known?.printed === true ? { what: 'unbound', code } : { what: 'unknown code', code }
}

type Slip = Extract<Found, { what: 'slip' }>['problem']

/** A short text of letters and digits was meant to be a code; anything else is foreign. */
function notACode(
  text: string,
  input: Extract<TagInput, { ok: false }>,
  known: KnownCodes | null,
): Found {
  const typed = codeInAddress(text, known) ?? text.trim()
  const isLikeACode = typed.length <= SLIP_LIMIT && /^[0-9A-Za-z\s\p{Pd}]*$/u.test(typed)
  if (!isLikeACode || input.problem === 'other_address') return { what: 'foreign', text }
  const problems: Record<typeof input.problem, Slip> = {
    empty: 'length',
    wrong_length: 'length',
    not_a_code: 'letter',
    wrong_check: 'check',
  }
  return { what: 'slip', typed, problem: problems[input.problem] }
}

/** Of an address of our own labels, what stands where the code should be. */
function codeInAddress(text: string, known: KnownCodes | null): string | null {
  const host = known?.host ?? null
  if (host === null) return null
  const address = /^https?:\/\/([^/?#]{1,253})\/t\/([^/?#]{1,40})$/iu.exec(text.trim())
  return address?.[1]?.toLowerCase() === host ? (address[2] ?? null) : null
}

/** The code that is on a thing now: of several, the one bound first. */
export function standingCodes(codes: Iterable<SnapshotCodeShape>): Map<string, string> {
  const first = new Map<string, { code: string; at: number }>()
  for (const { code, bindings, ends } of codes) {
    const bound = bindings[0]
    if (bound === undefined || ends.length > 0 || !isTagCode(code)) continue
    const [kind, id, at] = bound
    const before = first.get(`${kind} ${id}`)
    if (before === undefined || at < before.at) first.set(`${kind} ${id}`, { code, at })
  }
  return new Map([...first].map(([key, { code }]) => [key, code]))
}
