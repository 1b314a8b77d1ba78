// The tables of storage: verdicts by lot and day, warmth by readings, excursions, and the numbers.
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import { MS_PER_DAY } from '#trade/intervals.ts'
import type { PolicyKey } from '#trade/policies.ts'
import { thermalAgeDays } from '#trade/thermal-facts.ts'
import { writtenTime } from '#trade/zone-time.ts'
import type { DossierTable } from './dossier-shape.ts'
import type { DossierFacts } from './facts.ts'
import {
  calendarCodes,
  coverage,
  readingCodes,
  readingEntries,
  stepEntries,
} from './storage-rules.ts'
import type { JudgedLine } from './warmth.ts'

/** These tables in their order. */
export function storageTables(facts: DossierFacts): DossierTable[] {
  return [judged(facts), warmth(facts), excursions(facts), numbers(facts)]
}

const tenth = (value: number) => String(Math.floor(value * 10) / 10)

function judged(facts: DossierFacts): DossierTable {
  const { lines, leftOut } = facts.judged
  return {
    title: 'Storage and soaking on the days of grafting',
    note:
      'Judged by calendar, hours in water and readings as recorded by then, under the policies ' +
      'in force on that day.' +
      (leftOut === 0 ? '' : ` ${leftOut} further lots and days are not judged here.`),
    columns: ['Lot', 'Day', 'Verdict', 'Reason'],
    rows: lines.flatMap((line) =>
      line.judgement.reasons
        .filter(({ code }) => calendarCodes.test(code) || readingCodes.test(code))
        .map((reason) => ({
          cells: [
            facts.name(line.lotId),
            line.day,
            reason.verdict,
            reasonInEnglish(reason, (_kind, id) => facts.name(id)).sentence,
          ],
          entries: [
            ...facts.restsOn('lot', line.lotId),
            ...(readingCodes.test(reason.code) && line.warmth !== null
              ? readingEntries(facts, line)
              : stepEntries(facts, line)),
            ...reason.policies.flatMap((key) => facts.restsOn('policy', key)),
          ],
        })),
    ),
  }
}

function warmth(facts: DossierFacts): DossierTable {
  const { lines, hasMoreReadings } = facts.judged
  return {
    title: 'How warm the wood was kept, by the readings of loggers',
    note:
      'From cutting to the last graft of that day. Age by readings: hours with readings count by ' +
      'how fast buds respire at that temperature, hours without by the calendar; that wood in ' +
      'store ages as its buds respire is an assumption. The numbers, with sources, stand below.' +
      (hasMoreReadings ? ' Not every entry of readings is carried: they are too many.' : ''),
    columns: [
      'Lot',
      'Day',
      'Days by the calendar',
      'Age in days, by readings',
      'Readings cover',
      'Lowest °C',
      'Highest °C',
      'Excursions',
      'Hours too warm',
      'Degree-days',
      'Loggers',
    ],
    rows: lines.map((line) => ({
      cells: warmthCells(facts, line),
      entries:
        line.warmth === null
          ? [...facts.restsOn('lot', line.lotId), ...stepEntries(facts, line)]
          : readingEntries(facts, line),
    })),
  }
}

function warmthCells(facts: DossierFacts, line: JudgedLine): string[] {
  const where = [facts.name(line.lotId), line.day]
  if (line.warmth === null) {
    const lot = facts.lotFacts.get(line.lotId)
    const cutAt = lot?.known === true ? lot.cutAt : null
    const days = cutAt === null ? 'not known' : tenth((line.at - cutAt) / MS_PER_DAY)
    const unknown = 'not known: no logger read where it lay'
    return [...where, days, unknown, '0 %', '', '', '', '', '', '']
  }
  const { thermal, excursions: found, pieces } = line.warmth
  const loggers = [...new Set(pieces.map(({ loggerId }) => facts.name(loggerId)))]
  return [
    ...where,
    tenth((line.at - thermal.fromAt) / MS_PER_DAY),
    tenth(thermalAgeDays(thermal, line.at)),
    `${Math.floor(coverage(line) * 100)} %`,
    thermal.lowestTempC === null ? 'not known' : String(thermal.lowestTempC),
    thermal.highestTempC === null ? 'not known' : String(thermal.highestTempC),
    String(found.length),
    tenth(thermal.sums.aboveWakingHours),
    tenth(thermal.sums.swellDegreeDays),
    loggers.join(', '),
  ]
}

/** Of each lot the excursions up to the last day on which it was grafted. */
function excursions(facts: DossierFacts): DossierTable {
  const last = new Map(facts.judged.lines.map((line) => [line.lotId, line]))
  const when = (at: number) => writtenTime(at, facts.zone)
  return {
    title: 'Excursions of temperature',
    note:
      'Stretches in which the place was warmer than the waking limit or colder than the frost ' +
      'limit while wood of the lot lay there. Where no logger read, none can be known.',
    columns: ['Lot', 'Too', 'From', 'Until', 'Peak °C', 'Where'],
    rows: [...last.values()].flatMap((line) =>
      (line.warmth?.excursions ?? []).map((excursion) => ({
        cells: [
          facts.name(line.lotId),
          excursion.kind,
          when(excursion.beganAt),
          when(excursion.endedAt),
          String(excursion.peakTempC),
          facts.name(excursion.placeId),
        ],
        entries: [
          ...facts.restsOn('place', excursion.placeId),
          ...line.readings
            .filter(({ from, to }) => from <= excursion.endedAt && to >= excursion.beganAt)
            .flatMap(({ entryId }) => facts.indexOf(entryId)),
        ],
      })),
    ),
  }
}

const usedPolicies: PolicyKey[] = [
  'storageSetTempC',
  'thermalQ10',
  'storageCautionDays',
  'storageStopDays',
  'wakingLimitC',
  'wakingMaxHours',
  'frostLimitC',
  'freezeLimitC',
  'swellBaseC',
  'swellCautionDegreeDays',
  'readingGapMinutes',
  'readingsSilentHours',
  'soakMinHours',
  'soakMaxHours',
  'outOfWaterCautionHours',
  'outOfWaterMaxHours',
  'storeUnrecordedMaxHours',
]

/** Each number with its source, as it stood on the first day for which it counted. */
function numbers(facts: DossierFacts): DossierTable {
  const { lines } = facts.judged
  const keys = new Set([
    ...usedPolicies,
    ...lines.flatMap(({ judgement }) =>
      judgement.reasons
        .filter(({ code }) => calendarCodes.test(code) || readingCodes.test(code))
        .flatMap(({ policies }) => policies),
    ),
  ])
  const seen = new Map<string, DossierTable['rows'][number]>()
  for (const key of keys) {
    for (const { policies, day } of lines) {
      const { value, unit, source, sourceNote, disagreement } = policies[key]
      const at = `${key} ${JSON.stringify(value)} ${source}`
      if (seen.has(at)) continue
      const others = [sourceNote, disagreement].filter((text) => text !== undefined && text !== '')
      seen.set(at, {
        cells: [key, String(value), unit, source, others.join(' '), day],
        entries: facts.restsOn('policy', key),
      })
    }
  }
  return {
    title: 'The numbers by which storage and soaking are judged',
    note:
      'Defaults of this program with their sources, or what the nursery has set by an entry. ' +
      'A number without an entry is a default.',
    columns: ['Number', 'Value', 'Unit', 'Source', 'Said of it', 'First judged day'],
    rows: [...seen.values()],
  }
}
