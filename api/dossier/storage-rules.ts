// Answers how the wood had been stored and soaked when it was grafted, by calendar and by readings.
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import type { PolicyKey } from '#trade/policies.ts'
import type { Reason } from '#trade/reasons.ts'
import { unmeasuredDays } from '#trade/thermal-facts.ts'
import { answer, plural } from './answer.ts'
import type { RuleAnswer, RuleResult } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import type { JudgedLine } from './warmth.ts'

/** Reasons that rest on readings of loggers. */
export const readingCodes = /^storage\.(frozen|frost|aged|ageing|swelling|warm|no_readings)$/

/** Reasons of storage by the calendar, and of soaking. */
export const calendarCodes =
  /^(storage\.(too_long|vines_too_long|long|age_unknown|unrecorded)|soak\.)/

/** Both rules. */
export function storageRules(facts: DossierFacts): RuleAnswer[] {
  return [byCalendar(facts), byReadings(facts)]
}

type Found = { line: JudgedLine; reason: Reason }

const foundIn = (lines: readonly JudgedLine[], codes: RegExp): Found[] =>
  lines.flatMap((line) =>
    line.judgement.reasons
      .filter((reason) => codes.test(reason.code) && reason.verdict !== 'ready')
      .map((reason) => ({ line, reason })),
  )

function byCalendar(facts: DossierFacts): RuleAnswer {
  const { lines } = facts.judged
  const found = foundIn(lines, calendarCodes)
  const ask = {
    rule: 'On the days of grafting the wood was within the limits of storage and soaking',
    citation: `the nursery’s policies (${sourcesOf(found) || 'none was reached'})`,
    citationKnown: 'our own',
  } as const
  if (lines.length === 0) return answer(ask, 'not known', 'no grafting is on record')
  const because =
    found.length === 0
      ? `${plural(lines.length, 'lot and day')} looked at, nothing out of bounds`
      : inWords(facts, found)
  const due = found.length === 0 ? lines : found.map(({ line }) => line)
  const entries = due.flatMap((line) => stepEntries(facts, line))
  return answer(ask, resultOf(found), `${because}${leftOut(facts)}`, entries)
}

function byReadings(facts: DossierFacts): RuleAnswer {
  const { lines } = facts.judged
  const found = foundIn(lines, readingCodes)
  const [first] = lines
  const basis: PolicyKey[] = ['storageSetTempC', 'thermalQ10']
  const sources = basis.map((key) => `${key}: ${first?.policies[key].source ?? ''}`).join('; ')
  const reached = sourcesOf(found)
  const ask = {
    rule: 'By the days of grafting the wood had been kept cold enough, and not frozen',
    citation: `the nursery’s policies (${sources}${reached === '' ? '' : `; ${reached}`})`,
    citationKnown: 'our own',
  } as const
  if (first === undefined) return answer(ask, 'not known', 'no grafting is on record')
  const unknown = lines.filter(isUnread)
  const entries = lines.flatMap((line) => readingEntries(facts, line))
  const rest = entries.length === 0 ? lines.flatMap((line) => stepEntries(facts, line)) : entries
  const words = [
    ...(found.length === 0 ? [] : [inWords(facts, found)]),
    ...(unknown.length === 0 ? [] : [unreadWords(facts, unknown)]),
  ]
  if (words.length === 0) {
    words.push(`${plural(lines.length, 'lot and day')} looked at, nothing out of bounds`)
  }
  const result = resultOf(found) === 'does not hold' || unknown.length === 0
  return answer(
    ask,
    result ? resultOf(found) : 'not known',
    `${words.join('; ')}${leftOut(facts)}`,
    rest,
  )
}

/** Did loggers say nothing, or leave out more than the policy lets pass? */
export function isUnread({ warmth, policies, at }: JudgedLine): boolean {
  if (warmth === null || warmth.thermal.sums.measuredHours <= 0) return true
  return unmeasuredDays(warmth.thermal, at) * 24 > policies.readingsSilentHours.value
}

/** The share of the time since cutting for which readings tell how warm the wood was; 0 to 1. */
export function coverage({ warmth, at }: JudgedLine): number {
  if (warmth === null) return 0
  const hours = (at - warmth.thermal.fromAt) / MS_PER_HOUR
  return hours <= 0 ? 1 : Math.min(1, warmth.thermal.sums.measuredHours / hours)
}

function unreadWords(facts: DossierFacts, lines: readonly JudgedLine[]): string {
  const named = lines.slice(0, 5).map((line) => {
    const where = `${facts.name(line.lotId)} on ${line.day}`
    if (line.warmth === null) return `${where}: no logger read where it lay`
    const days = Math.floor(unmeasuredDays(line.warmth.thermal, line.at) * 10) / 10
    return `${where}: ${days} days without readings`
  })
  return named.join('; ') + (lines.length > 5 ? `; and ${lines.length - 5} more without` : '')
}

/** A stop does not hold; what asks for caution is for the reader to weigh. */
function resultOf(found: readonly Found[]): RuleResult {
  if (found.some(({ reason }) => reason.verdict === 'stop')) return 'does not hold'
  return found.length === 0 ? 'holds' : 'not known'
}

function sourcesOf(found: readonly Found[]): string {
  const sources = found.flatMap(({ line, reason }) =>
    reason.policies.map((key) => `${key}: ${line.policies[key].source}`),
  )
  return [...new Set(sources)].join('; ')
}

function inWords(facts: DossierFacts, found: readonly Found[]): string {
  const words = found.slice(0, 5).map(({ line, reason }) => {
    const { sentence } = reasonInEnglish(reason, (_kind, id) => facts.name(id))
    return `${facts.name(line.lotId)} on ${line.day}: ${sentence}`
  })
  return words.join('; ') + (found.length > 5 ? `; and ${found.length - 5} more below` : '')
}

const leftOut = ({ judged }: DossierFacts) =>
  judged.leftOut === 0 ? '' : `; ${judged.leftOut} further lots and days were not judged`

/** Entries of where the lot and what it came of lay and soaked until then. */
export function stepEntries(facts: DossierFacts, line: JudgedLine): number[] {
  const own = new Set(facts.cameOf.get(line.lotId) ?? [line.lotId])
  return facts.steps
    .filter((step) => own.has(step.lot_id) && step.occurred_at.getTime() <= line.at)
    .flatMap((step) => facts.indexOf(step.entry_id))
}

/** Entries of the readings and of the loggers that told how warm it lay. */
export function readingEntries(facts: DossierFacts, line: JudgedLine): number[] {
  const loggers = (line.warmth?.pieces ?? []).map(({ loggerId }) => loggerId)
  return [
    ...[...new Set(loggers)].flatMap((id) => facts.restsOn('logger', id)),
    ...line.readings.flatMap(({ entryId }) => facts.indexOf(entryId)),
  ]
}
