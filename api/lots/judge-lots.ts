// Judges lots as they stand in the records, and says the reasons in words with names.
import { judge } from '#trade/judge.ts'
import type { Judgement } from '#trade/judge.ts'
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import type { Verdict } from '#trade/reasons.ts'
import type { PolicyKey } from '#trade/policies.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import { readPolicies } from '../nursery/read.ts'
import { readLotFacts } from './lot-facts.ts'
import { readPieceFacts } from './piece-facts.ts'
import type { WoodPiece } from './wood-spans.ts'

/** The judgement of each lot at `at`, by the policies in force then. */
export async function judgeLots(
  db: Database,
  lotIds: readonly string[],
  at: Date,
): Promise<Map<string, Judgement>> {
  const wanted = [...new Set(lotIds)]
  if (wanted.length === 0) return new Map()
  const [facts, { policies }] = await Promise.all([
    readLotFacts(db, wanted, at),
    readPolicies(db, at),
  ])
  return new Map([...facts].map(([lotId, lot]) => [lotId, judge(lot, policies, at.getTime())]))
}

/**
 * The judgement of each piece, in their order, by where it lay itself: a bundle in somebody’s hand
 * is not cooled by the rest of its lot. Null for a lot that no entry made.
 */
export async function judgePieces(
  db: Database,
  pieces: readonly WoodPiece[],
  at: Date,
): Promise<(Judgement | null)[]> {
  const [facts, { policies }] = await Promise.all([
    readPieceFacts(db, pieces, at),
    readPolicies(db, at),
  ])
  return facts.map((piece) => (piece === null ? null : judge(piece, policies, at.getTime())))
}

/** One reason as people read it: what is so, what to do, and the policies that decided. */
export type ReasonInWords = {
  code: string
  verdict: Verdict
  sentence: string
  todo: string
  policies: readonly PolicyKey[]
}

/** The reasons of a judgement in English, with the names of lots, sources and held things. */
export async function reasonsInWords(db: Database, judgement: Judgement): Promise<ReasonInWords[]> {
  const facts = JSON.stringify(judgement.reasons.map((reason) => reason.facts))
  const names = await readNames(db, facts.match(idPattern) ?? [])
  return judgement.reasons.map((reason) => ({
    code: reason.code,
    verdict: reason.verdict,
    ...reasonInEnglish(reason, (_kind, id) => names.get(id) ?? id),
    policies: reason.policies,
  }))
}

const idPattern = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g
