// Judges each lot on each day of grafting: by calendar, water and readings up to that moment.
import { sql } from 'kysely'
import { judge } from '#trade/judge.ts'
import type { Judgement } from '#trade/judge.ts'
import type { KnownLotFacts, LotFacts } from '#trade/lot-facts.ts'
import type { Policies } from '#trade/policies.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { lainOf, readLotWarmth } from '../lots/lot-thermal.ts'
import type { LotWarmth } from '../lots/lot-thermal.ts'
import { readPolicies } from '../nursery/read.ts'
import { readPlaces } from '../store/places.ts'
import { tanksOfBaths } from '../store/tanks.ts'
import type { DossierScope } from './scope.ts'

/** A lot as it was judged when it was last grafted on one day. */
export type JudgedLine = {
  lotId: string
  day: string
  /** Epoch milliseconds. */
  at: number
  judgement: Judgement
  /** The policies in force on that day. */
  policies: Policies
  /** What the readings say up to then; null when no logger read where the lot lay. */
  warmth: LotWarmth | null
  /** Entries of the readings, as far as they are carried. */
  readings: ReadingsEntry[]
}

/** An entry of readings and the time that it tells of (epoch milliseconds). */
export type ReadingsEntry = { entryId: string; from: number; to: number }

/** What was judged, and how much of it was not. */
export type JudgedDays = {
  lines: JudgedLine[]
  /** Pairs of lot and day beyond the limit. */
  leftOut: number
  /** Are there more entries of readings than are carried? */
  hasMoreReadings: boolean
}

/** Most pairs of lot and day that are judged. */
const JUDGED_LIMIT = 200

/** Most entries of readings in one dossier: a machine may send one for every quarter of an hour. */
const READINGS_LIMIT = 3000

type Due = { lotId: string; at: number; day: string }

/** Judges them, under the policies in force on each day. */
export async function judgeOnDays(
  db: Database,
  scope: DossierScope,
  lotFacts: Map<string, LotFacts>,
  zone: string,
): Promise<JudgedDays> {
  const due = dueDays(scope, zone)
  const told = due.slice(0, JUDGED_LIMIT)
  const [places, tanks] = await Promise.all([readPlaces(db), tanksOfBaths(db, bathsOf(lotFacts))])
  const policiesOf = new Map<string, Policies>()
  const lines: JudgedLine[] = []
  for (const { lotId, at, day } of told) {
    const facts = lotFacts.get(lotId)
    if (facts?.known !== true) continue
    const policies = policiesOf.get(day) ?? (await readPolicies(db, new Date(at))).policies
    policiesOf.set(day, policies)
    const then = untilThen(facts, at)
    const lot = { ...then, lain: lainOf(then, (bathId) => tanks.get(bathId) ?? null) }
    const warmth = (await readLotWarmth(db, [lot], places, new Date(at))).get(lotId) ?? null
    const judgement = judge({ ...then, thermal: warmth?.thermal ?? null }, policies, at)
    lines.push({ lotId, day, at, judgement, policies, warmth, readings: [] })
  }
  const hasMoreReadings = await findReadings(db, lines)
  return { lines, leftOut: due.length - told.length, hasMoreReadings }
}

const bathsOf = (lotFacts: Map<string, LotFacts>) =>
  [...lotFacts.values()].flatMap((lot) => (lot.known ? lot.soaks.map(({ bathId }) => bathId) : []))

/** Each lot on each day with a graft of it, at the last one; the days in order. */
function dueDays(scope: DossierScope, zone: string): Due[] {
  const last = new Map<string, Due>()
  for (const { lot_id: lotId, grafted_at } of scope.grafts) {
    const at = grafted_at.getTime()
    const day = localDay(at, zone)
    const before = last.get(`${lotId} ${day}`)
    if (before === undefined || before.at < at) last.set(`${lotId} ${day}`, { lotId, at, day })
  }
  return [...last.values()].sort((one, other) => one.at - other.at)
}

/** What had been recorded of places and water by a moment. */
function untilThen(facts: KnownLotFacts, at: number): KnownLotFacts {
  const until = <T extends { beganAt: number; endedAt: number | null }>(spans: readonly T[]) =>
    spans
      .filter(({ beganAt }) => beganAt <= at)
      .map((span) => ({ ...span, endedAt: (span.endedAt ?? at + 1) > at ? null : span.endedAt }))
  return { ...facts, thermal: null, stays: until(facts.stays), soaks: until(facts.soaks) }
}

/** Gives each line the entries of its readings; says whether there are more than the limit. */
async function findReadings(db: Database, lines: readonly JudgedLine[]): Promise<boolean> {
  const spans = lines.flatMap(({ warmth }, nr) =>
    (warmth?.pieces ?? []).map(({ loggerId, from, to }) => ({ nr, loggerId, from, to })),
  )
  const { rows } = await sql<{ nr: number; entry_id: string; first_at: Date; last_at: Date }>`
    select distinct s.nr, t.entry_id, t.first_at, t.last_at
    from unnest(${spans.map(({ nr }) => nr)}::int[],
        ${spans.map(({ loggerId }) => loggerId)}::uuid[],
        ${spans.map(({ from }) => new Date(from).toISOString())}::timestamptz[],
        ${spans.map(({ to }) => new Date(to).toISOString())}::timestamptz[])
        as s(nr, logger_id, from_at, to_at)
      join temperature_log t on t.logger_id = s.logger_id
        and t.last_at >= s.from_at and t.first_at <= s.to_at
    order by s.nr, t.first_at, t.entry_id`.execute(db)
  const carried = new Set<string>()
  let hasMore = false
  for (const { nr, entry_id, first_at, last_at } of rows) {
    if (carried.size < READINGS_LIMIT) carried.add(entry_id)
    const told = { entryId: entry_id, from: first_at.getTime(), to: last_at.getTime() }
    if (carried.has(entry_id)) lines[nr]?.readings.push(told)
    else hasMore = true
  }
  return hasMore
}
