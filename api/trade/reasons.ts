// Every reason a judgement can give: its severity, its numbers, what to do, the policies behind it.
import type { PolicyKey } from './policies.ts'

/** From best to worst; a judgement is as bad as its worst reason. */
export const VERDICTS = ['ready', 'caution', 'stop'] as const
export type Verdict = (typeof VERDICTS)[number]

type Fact = string | number | null
type Checked<T extends Record<string, Record<string, Fact>>> = T

type HoldReasonFacts = { holdId: string; subjectId: string; agentId: string | null }
type SourceReasonFacts = { sourceId: string; sinceAt: number | null }
type ClassReasonFacts = {
  rowId: string
  plannedScheme: string | null
  plannedClass: string
  lotScheme: string | null
  lotClass: string | null
}

/** Buds, or sticks scratched; `leastPercent` is the share asked for. */
type CountReasonFacts = {
  live: number
  sampled: number
  what: 'buds' | 'sticks'
  leastPercent: number
  checkedDays: number
}
/** `vpdKPa` is the drying power that shortened the limit; null when no weather was read. */
type OutReasonFacts = {
  outMinutes: number
  warmMinutes: number
  limitHours: number
  vpdKPa: number | null
}

/** The numbers and ids behind each reason, language-neutral. Times are epoch milliseconds. */
export type FactsByCode = Checked<{
  'lot.unknown': { code: string | null }
  'tag.spoiled': { code: string }
  'tag.ended': { code: string }
  'hold.lot': HoldReasonFacts
  'hold.parent_lot': HoldReasonFacts
  'hold.source': HoldReasonFacts
  'hold.contact': HoldReasonFacts & { route: string | null }
  'plan.variety': { rowId: string; plannedVarietyId: string; lotVarietyId: string }
  'plan.clone': { rowId: string; plannedClone: string; lotClone: string }
  'plan.clone_unknown': { rowId: string; plannedClone: string }
  'plan.class_below': ClassReasonFacts
  'plan.class_unknown': ClassReasonFacts
  'plan.class_not_comparable': ClassReasonFacts
  'source.suspended_at_cut': SourceReasonFacts
  'source.withdrawn_at_cut': SourceReasonFacts
  'source.standing_unknown': SourceReasonFacts
  'source.suspended_later': SourceReasonFacts
  'source.withdrawn_later': SourceReasonFacts
  'source.unknown': { knownSources: number }
  'stock.nothing_left': { sticks: number; buds: number }
  'stock.negative': { sticks: number; buds: number }
  'stock.unknown': Record<never, Fact>
  'storage.too_long': { storedDays: number; limitDays: number }
  'storage.vines_too_long': { storedDays: number; limitDays: number }
  'storage.long': { storedDays: number; limitDays: number; stopDays: number }
  'storage.age_unknown': { atLeastDays: number | null }
  'storage.unrecorded': { unrecordedMinutes: number; limitHours: number }
  'storage.frozen': { lowestTempC: number; limitC: number }
  'storage.frost': { lowestTempC: number; limitC: number }
  'storage.aged': { ageDays: number; storedDays: number; setTempC: number; limitDays: number }
  'storage.ageing': {
    ageDays: number
    storedDays: number
    setTempC: number
    limitDays: number
    stopDays: number
  }
  'storage.swelling': { degreeDays: number; limitDegreeDays: number; baseC: number }
  'storage.warm': {
    warmMinutes: number
    limitHours: number
    limitC: number
    peakTempC: number | null
    beganAt: number | null
    endedAt: number | null
  }
  'storage.readings_stopped': { silentMinutes: number; limitHours: number }
  'storage.no_readings': { unmeasuredMinutes: number | null }
  'check.too_low': CountReasonFacts
  'check.low': CountReasonFacts
  'check.small': CountReasonFacts
  'check.good': CountReasonFacts
  'check.old': { checkedDays: number; limitDays: number }
  'check.never': { storedDays: number; limitDays: number }
  'check.too_dry': { percent: number; leastPercent: number }
  'check.water_lost': { lostPercent: number; of: 'water' | 'weight'; mostPercent: number }
  'soak.not_soaked': { minHours: number; maxHours: number }
  'soak.soaking': { soakedMinutes: number; minHours: number; maxHours: number }
  'soak.too_short': { soakedMinutes: number; minHours: number; maxHours: number }
  'soak.too_long': { soakedMinutes: number; maxHours: number; inWater: 'yes' | 'no' }
  'soak.right': { soakedMinutes: number; maxHours: number; inWater: 'yes' | 'no' }
  'soak.out_too_long': OutReasonFacts
  'soak.out_long': OutReasonFacts
  'soak.long_ago': { outMinutes: number; warmMinutes: number; limitHours: number }
  'soak.resoaked': { dryMinutes: number; limitHours: number }
  'clock.disagrees': { what: string; at: number }
  'snapshot.stale': { snapshotAt: number; ageMinutes: number; limitHours: number }
}>

export type ReasonCode = keyof FactsByCode

export const TODO_CODES = [
  'nothing',
  'ask_what_it_is',
  'tag_again',
  'set_aside_ask_office',
  'find_right_lot',
  'show_clone_and_class',
  'show_standing',
  'record_origin',
  'choose_another_lot',
  'count_again',
  'check_buds_first',
  'do_not_use_check_buds',
  'record_cut_date',
  'record_where_it_lay',
  'use_first_or_cool',
  'read_the_logger',
  'count_by_calendar',
  'do_not_use_look_at_more',
  'check_more_buds',
  'soak_first',
  'leave_in_water',
  'lift_and_check',
  'use_today',
  'do_not_use_look_for_dry_wood',
  'look_for_dry_wood',
  'set_the_clock',
  'send_and_fetch',
] as const
export type TodoCode = (typeof TODO_CODES)[number]

export type ReasonOf<C extends ReasonCode> = {
  readonly code: C
  readonly verdict: Verdict
  readonly facts: Readonly<FactsByCode[C]>
  readonly todo: TodoCode
  /** The policies whose numbers decided; their sources are printed beside the reason. */
  readonly policies: readonly PolicyKey[]
}
export type Reason = { [C in ReasonCode]: ReasonOf<C> }[ReasonCode]

/** Makes one reason; severity, advice and policies come from {@link REASONS}. */
export function reasonOf<C extends ReasonCode>(
  code: C,
  facts: FactsByCode[C],
  verdict: Verdict = REASONS[code].verdict,
): ReasonOf<C> {
  const { todo, policies } = REASONS[code]
  return { code, verdict, facts, todo, policies }
}

/** The worst verdict among the reasons; `ready` when there is none. */
export function verdictOf(reasons: readonly { readonly verdict: Verdict }[]): Verdict {
  const worst = Math.max(0, ...reasons.map((reason) => severityOf(reason.verdict)))
  return VERDICTS[worst] ?? 'stop'
}

/** 0 for ready, 1 for caution, 2 for stop; a word that is none of them counts as stop. */
export function severityOf(verdict: Verdict): number {
  const place = VERDICTS.indexOf(verdict)
  return place < 0 ? VERDICTS.length - 1 : place
}

interface ReasonRow {
  readonly verdict: Verdict
  readonly todo: TodoCode
  readonly policies: readonly PolicyKey[]
}

const row = (verdict: Verdict, todo: TodoCode, ...policies: PolicyKey[]): ReasonRow => ({
  verdict,
  todo,
  policies,
})

const AGEING_POLICIES = ['storageSetTempC', 'thermalQ10'] as const

/** Severity, advice and policies per reason, in the order in which equal reasons are shown. */
export const REASONS: Readonly<Record<ReasonCode, ReasonRow>> = {
  'lot.unknown': row('stop', 'ask_what_it_is'),
  'tag.spoiled': row('stop', 'tag_again'),
  'tag.ended': row('stop', 'tag_again'),
  'hold.lot': row('stop', 'set_aside_ask_office'),
  'hold.parent_lot': row('stop', 'set_aside_ask_office'),
  'hold.source': row('stop', 'set_aside_ask_office'),
  'hold.contact': row('stop', 'set_aside_ask_office', 'contactHoldStops'),
  'plan.variety': row('stop', 'find_right_lot'),
  'plan.clone': row('stop', 'find_right_lot'),
  'plan.clone_unknown': row('caution', 'show_clone_and_class'),
  'plan.class_below': row('stop', 'find_right_lot', 'classLadder'),
  'plan.class_unknown': row('caution', 'show_clone_and_class', 'classLadder'),
  'plan.class_not_comparable': row('caution', 'show_clone_and_class', 'classLadder'),
  'source.suspended_at_cut': row('stop', 'set_aside_ask_office'),
  'source.withdrawn_at_cut': row('stop', 'set_aside_ask_office'),
  'source.standing_unknown': row('caution', 'show_standing'),
  'source.suspended_later': row('caution', 'set_aside_ask_office'),
  'source.withdrawn_later': row('caution', 'set_aside_ask_office'),
  'source.unknown': row('caution', 'record_origin'),
  'stock.nothing_left': row('stop', 'choose_another_lot'),
  'stock.negative': row('caution', 'count_again'),
  'stock.unknown': row('caution', 'count_again'),
  'storage.too_long': row('stop', 'do_not_use_check_buds', 'storageStopDays'),
  'storage.vines_too_long': row('stop', 'do_not_use_check_buds', 'vineStorageStopDays'),
  'storage.long': row('caution', 'check_buds_first', 'storageCautionDays', 'storageStopDays'),
  'storage.age_unknown': row('caution', 'record_cut_date'),
  'storage.unrecorded': row('caution', 'record_where_it_lay', 'storeUnrecordedMaxHours'),
  'storage.frozen': row('stop', 'do_not_use_check_buds', 'freezeLimitC'),
  'storage.frost': row('caution', 'check_buds_first', 'frostLimitC'),
  'storage.aged': row('stop', 'do_not_use_check_buds', ...AGEING_POLICIES, 'storageStopDays'),
  'storage.ageing': row(
    'caution',
    'check_buds_first',
    ...AGEING_POLICIES,
    'storageCautionDays',
    'storageStopDays',
  ),
  'storage.swelling': row('caution', 'use_first_or_cool', 'swellCautionDegreeDays', 'swellBaseC'),
  'storage.warm': row('caution', 'check_buds_first', 'wakingMaxHours', 'wakingLimitC'),
  'storage.readings_stopped': row('caution', 'read_the_logger', 'readingsSilentHours'),
  'storage.no_readings': row('ready', 'count_by_calendar', 'readingGapMinutes'),
  'check.too_low': row('stop', 'do_not_use_look_at_more', 'viabilityLeastShare'),
  'check.low': row('caution', 'check_more_buds', 'viabilityLeastShare'),
  'check.small': row('ready', 'check_more_buds', 'viabilityLeastShare'),
  'check.good': row('ready', 'nothing', 'viabilityLeastShare'),
  'check.old': row('caution', 'check_buds_first', 'viabilityCheckDays'),
  'check.never': row('caution', 'check_buds_first', 'viabilityCheckDays'),
  'check.too_dry': row('stop', 'do_not_use_look_for_dry_wood', 'moistureLeastShare'),
  'check.water_lost': row('stop', 'do_not_use_look_for_dry_wood', 'waterLossMaxShare'),
  'soak.not_soaked': row('caution', 'soak_first', 'soakMinHours', 'soakMaxHours'),
  'soak.soaking': row('caution', 'leave_in_water', 'soakMinHours', 'soakMaxHours'),
  'soak.too_short': row('caution', 'soak_first', 'soakMinHours', 'soakMaxHours'),
  'soak.too_long': row('caution', 'lift_and_check', 'soakMaxHours'),
  'soak.right': row('ready', 'nothing', 'soakMinHours', 'soakMaxHours'),
  'soak.out_too_long': row(
    'stop',
    'do_not_use_look_for_dry_wood',
    'outOfWaterMaxHours',
    'referenceVpdKPa',
  ),
  'soak.out_long': row(
    'caution',
    'use_today',
    'outOfWaterCautionHours',
    'outOfWaterMaxHours',
    'referenceVpdKPa',
  ),
  'soak.long_ago': row('caution', 'soak_first', 'outOfWaterMaxHours'),
  'soak.resoaked': row('caution', 'look_for_dry_wood', 'outOfWaterMaxHours'),
  'clock.disagrees': row('caution', 'set_the_clock', 'clockToleranceMinutes'),
  'snapshot.stale': row('caution', 'send_and_fetch', 'snapshotStaleHours'),
}

export const REASON_CODES: readonly ReasonCode[] = Object.keys(REASONS) as ReasonCode[]
