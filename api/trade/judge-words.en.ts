// The English sentence and the advice for every reason a judgement can give.
import type { FactsByCode, Reason, ReasonCode, TodoCode, Verdict } from './reasons.ts'

export type NamedKind = 'lot' | 'source' | 'variety' | 'row' | 'agent' | 'held thing'

/** Finds the printed name of a thing by its id; whoever holds the names supplies it. */
export type NameOf = (kind: NamedKind, id: string) => string

export type ReasonSentences = {
  readonly [C in ReasonCode]: (facts: Readonly<FactsByCode[C]>, nameOf: NameOf) => string
}

/** The sentence and the advice for one reason. Without names, ids are printed. */
export function reasonInEnglish(
  reason: Reason,
  nameOf: NameOf = (_kind, id) => id,
): { readonly sentence: string; readonly todo: string } {
  // The facts belong to the code by construction; the index type cannot say so.
  const say = REASON_SENTENCES_EN[reason.code] as (facts: Reason['facts'], nameOf: NameOf) => string
  return { sentence: say(reason.facts, nameOf), todo: TODO_SENTENCES_EN[reason.todo] }
}

export const VERDICT_WORDS_EN: Readonly<Record<Verdict, string>> = {
  ready: 'Ready',
  caution: 'Caution',
  stop: 'Stop',
}

/** A length of time given in whole minutes, such as '26 h 30 min' or '3 days 4 h'. */
export function lengthInEnglish(minutes: number): string {
  const days = Math.floor(minutes / 1440)
  const hours = Math.floor(minutes / 60) - days * 24
  if (days >= 3) return hours === 0 ? `${days} days` : `${days} days ${hours} h`
  const rest = minutes % 60
  const allHours = Math.floor(minutes / 60)
  if (allHours === 0) return `${rest} min`
  return rest === 0 ? `${allHours} h` : `${allHours} h ${rest} min`
}

export const REASON_SENTENCES_EN: ReasonSentences = {
  'lot.unknown': ({ code }) =>
    code === null
      ? 'No lot is known for this scan.'
      : `No lot is known for tag ${code} in the records at hand.`,
  'tag.spoiled': ({ code }) => `Tag ${code} was reported spoiled and must not be in use.`,
  'tag.ended': ({ code }) => `Tag ${code} no longer stands for any wood: its use has ended.`,
  'hold.lot': (facts, nameOf) => `The lot is on hold${forAgent(facts.agentId, nameOf)}.`,
  'hold.parent_lot': (facts, nameOf) =>
    `Lot ${nameOf('lot', facts.subjectId)}, of which this wood was made, is on hold` +
    `${forAgent(facts.agentId, nameOf)}.`,
  'hold.source': (facts, nameOf) =>
    `Its source ${nameOf('source', facts.subjectId)} is on hold${forAgent(facts.agentId, nameOf)}.`,
  'hold.contact': (facts, nameOf) =>
    `It touched ${nameOf('held thing', facts.subjectId)}` +
    `${facts.route === null ? '' : ` by ${facts.route}`}, which is on hold` +
    `${forAgent(facts.agentId, nameOf)}.`,
  'plan.variety': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} is planned for ` +
    `${nameOf('variety', facts.plannedVarietyId)}; this is ` +
    `${nameOf('variety', facts.lotVarietyId)}.`,
  'plan.clone': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} is planned for clone ${facts.plannedClone}; this is clone ` +
    `${facts.lotClone}.`,
  'plan.clone_unknown': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} is planned for clone ${facts.plannedClone}; the lot's ` +
    'clone is not recorded.',
  'plan.class_below': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} asks for class ${facts.plannedClass} or stricter; this ` +
    `is ${facts.lotClass ?? 'without class'}.`,
  'plan.class_unknown': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} asks for class ${facts.plannedClass} or stricter; the ` +
    "lot's class is not recorded.",
  'plan.class_not_comparable': (facts, nameOf) =>
    `Row ${nameOf('row', facts.rowId)} asks for ${classWords(facts.plannedScheme)} ` +
    `${facts.plannedClass}; this is ${classWords(facts.lotScheme)} ` +
    `${facts.lotClass ?? 'without class'}, and no ladder of classes compares the two.`,
  'source.suspended_at_cut': (facts, nameOf) =>
    `Its source ${nameOf('source', facts.sourceId)} was suspended when the wood was cut.`,
  'source.withdrawn_at_cut': (facts, nameOf) =>
    `Its source ${nameOf('source', facts.sourceId)} was withdrawn when the wood was cut.`,
  'source.standing_unknown': (facts, nameOf) =>
    `The standing of its source ${nameOf('source', facts.sourceId)} at cutting is not recorded.`,
  'source.suspended_later': (facts, nameOf) =>
    `Its source ${nameOf('source', facts.sourceId)} has been suspended since the wood was cut.`,
  'source.withdrawn_later': (facts, nameOf) =>
    `Its source ${nameOf('source', facts.sourceId)} has been withdrawn since the wood was cut.`,
  'source.unknown': ({ knownSources }) =>
    knownSources === 0
      ? 'Where this wood was cut is not recorded.'
      : 'Where a part of this wood was cut is not recorded.',
  'stock.nothing_left': ({ sticks, buds }) =>
    `By the records nothing is left of this lot (${sticks} sticks, ${buds} buds).`,
  'stock.negative': ({ sticks, buds }) =>
    `The records disagree: more was used than there was (${sticks} sticks, ${buds} buds left).`,
  'stock.unknown': () => 'How much is left of this lot is not known here.',
  'storage.too_long': ({ storedDays, limitDays }) =>
    `Cut ${storedDays} days ago; the limit is ${limitDays} days.`,
  'storage.vines_too_long': ({ storedDays, limitDays }) =>
    `Lifted ${storedDays} days ago; the limit is ${limitDays} days.`,
  'storage.long': ({ storedDays, limitDays, stopDays }) =>
    `Cut ${storedDays} days ago: past ${limitDays} days; the limit is ${stopDays} days.`,
  'storage.age_unknown': ({ atLeastDays }) =>
    atLeastDays === null
      ? 'When this wood was cut is not recorded.'
      : `When this wood was cut is not recorded; it is at least ${atLeastDays} days old.`,
  'storage.unrecorded': ({ unrecordedMinutes, limitHours }) =>
    `For ${lengthInEnglish(unrecordedMinutes)} since cutting no record says where the wood lay ` +
    `(more than ${limitHours} h).`,
  'storage.frozen': ({ lowestTempC, limitC }) =>
    `It was frozen: ${degrees(lowestTempC)} was read where it lay (below ${degrees(limitC)}).`,
  'storage.frost': ({ lowestTempC, limitC }) =>
    `Frost was read where it lay: ${degrees(lowestTempC)} (below ${degrees(limitC)}).`,
  'storage.aged': ({ ageDays, storedDays, setTempC, limitDays }) =>
    `Stored too warm: in ${storedDays} days it aged like ${ageDays} days at ` +
    `${degrees(setTempC)}; the limit is ${limitDays}.`,
  'storage.ageing': ({ ageDays, storedDays, setTempC, limitDays, stopDays }) =>
    `In ${storedDays} days it aged like ${ageDays} days at ${degrees(setTempC)}: past ` +
    `${limitDays}; the limit is ${stopDays}.`,
  'storage.swelling': ({ degreeDays, limitDegreeDays, baseC }) =>
    `Its buds may be swelling: ${degreeDays} °C days above ${degrees(baseC)} since cutting ` +
    `(more than ${limitDegreeDays}).`,
  'storage.warm': (facts) =>
    `It lay above ${degrees(facts.limitC)} for ${lengthInEnglish(facts.warmMinutes)} in all ` +
    `(more than ${facts.limitHours} h)${warmestInEnglish(facts)}.`,
  'storage.readings_stopped': ({ silentMinutes, limitHours }) =>
    `The last reading where it lies is ${lengthInEnglish(silentMinutes)} old (more than ` +
    `${limitHours} h).`,
  'storage.no_readings': ({ unmeasuredMinutes }) =>
    unmeasuredMinutes === null
      ? 'No reading says how warm it was kept: its age is counted by the calendar.'
      : `For ${lengthInEnglish(unmeasuredMinutes)} no reading says how warm it was kept: that ` +
        'time is counted by the calendar.',
  'check.too_low': (facts) => `${seenInEnglish(facts)}: fewer than ${facts.leastPercent} %.`,
  'check.low': (facts) =>
    `${seenInEnglish(facts)}: below ${facts.leastPercent} %, in a sample too small to be sure.`,
  'check.small': (facts) =>
    `${seenInEnglish(facts)}; the sample is too small to be sure of ${facts.leastPercent} %.`,
  'check.good': (facts) => `${seenInEnglish(facts)}: at least ${facts.leastPercent} %.`,
  'check.old': ({ checkedDays, limitDays }) =>
    `Its buds were last looked at ${checkedDays} days ago (more than ${limitDays}).`,
  'check.never': ({ storedDays, limitDays }) =>
    `Its buds were not looked at in ${storedDays} days since cutting (more than ${limitDays}).`,
  'check.too_dry': ({ percent, leastPercent }) =>
    `Too dry: ${percent} % water by fresh weight; at least ${leastPercent} % are asked for.`,
  'check.water_lost': ({ lostPercent, of, mostPercent }) =>
    of === 'water'
      ? `Too dry: ${lostPercent} % of its water is lost since cutting (more than ${mostPercent} %).`
      : `Too dry: ${lostPercent} % of its weight is lost since cutting, and of its water more ` +
        `still (more than ${mostPercent} %).`,
  'soak.not_soaked': ({ minHours, maxHours }) =>
    `Not soaked; ${minHours} to ${maxHours} h are asked for.`,
  'soak.soaking': ({ soakedMinutes, minHours, maxHours }) =>
    `In water for ${lengthInEnglish(soakedMinutes)}; ${minHours} to ${maxHours} h are asked for.`,
  'soak.too_short': ({ soakedMinutes, minHours, maxHours }) =>
    `Soaked for only ${lengthInEnglish(soakedMinutes)}; ${minHours} to ${maxHours} h are ` +
    'asked for.',
  'soak.too_long': ({ soakedMinutes, maxHours, inWater }) =>
    `${inWater === 'yes' ? 'In water for' : 'Soaked for'} ${lengthInEnglish(soakedMinutes)}; at ` +
    `most ${maxHours} h are asked for.`,
  'soak.right': ({ soakedMinutes, inWater }) =>
    `${inWater === 'yes' ? 'In water for' : 'Soaked for'} ${lengthInEnglish(soakedMinutes)}, ` +
    'as asked for.',
  'soak.out_too_long': ({ warmMinutes, limitHours, vpdKPa }) =>
    `Out of water and out of the cold for ${lengthInEnglish(warmMinutes)}; the limit is ` +
    `${limitHours} h${inAirInEnglish(vpdKPa)}.`,
  'soak.out_long': ({ warmMinutes, limitHours, vpdKPa }) =>
    `Out of water and out of the cold for ${lengthInEnglish(warmMinutes)} (more than ` +
    `${limitHours} h${inAirInEnglish(vpdKPa)}).`,
  'soak.long_ago': ({ outMinutes, limitHours }) =>
    `Out of water for ${lengthInEnglish(outMinutes)}, though cold (more than ${limitHours} h).`,
  'soak.resoaked': ({ dryMinutes, limitHours }) =>
    `Soaked again after ${lengthInEnglish(dryMinutes)} out of water and out of the cold (more ` +
    `than ${limitHours} h). Wood that dried out counts as defective even when soaked again.`,
  'clock.disagrees': ({ what, at }) =>
    `A time cannot be true by this clock: ${what}, ${new Date(at).toISOString()}.`,
  'snapshot.stale': ({ ageMinutes, limitHours }) =>
    `The records on this device are ${lengthInEnglish(ageMinutes)} old (more than ` +
    `${limitHours} h). A hold may be missing.`,
}

export const TODO_SENTENCES_EN: Readonly<Record<TodoCode, string>> = {
  nothing: 'Nothing more to do.',
  ask_what_it_is: 'Do not use it. Fetch the records, scan again, or ask the office what it is.',
  tag_again: 'Do not use it until the office has said what it is and it carries a new tag.',
  set_aside_ask_office: 'Set it aside, apart from other wood, and ask the office.',
  find_right_lot: 'Do not set it in this row. Find the lot that the plan names.',
  show_clone_and_class: 'Ask the office to record what the label or certificate says.',
  show_standing: "Ask the office for the source's registration at the cut date.",
  record_origin: 'Ask the office to record the origin, or use wood whose origin is known.',
  choose_another_lot: 'Count what is in hand and tell the office; use another lot.',
  count_again: 'Count what is in hand and tell the office.',
  check_buds_first: 'Cut open a sample of buds before use; cut away from your hand.',
  do_not_use_check_buds: 'Do not use it unless a bud check is good and the office agrees.',
  record_cut_date: 'Ask the office to record the cut date from the label or the supplier.',
  record_where_it_lay: 'Record where it lay; cut open a sample of buds if it may have been warm.',
  use_first_or_cool:
    'Use it before other wood or move it where it is colder; cut open a sample of buds.',
  read_the_logger: 'Look at the logger in its room and read it out.',
  count_by_calendar: 'Put a logger where wood lies, or read in the file of the one that is there.',
  do_not_use_look_at_more: 'Do not use it until more of it was looked at and the office agrees.',
  check_more_buds: 'Look at more of it; the lot’s page says how many would be enough.',
  soak_first: 'Soak it in clean water, changed for each batch, before use.',
  leave_in_water: 'Leave it in the water until the time is reached.',
  lift_and_check: 'Take it out of the water, drain it and cut open a sample of buds.',
  use_today: 'Use it today, or drain it and take it back to the cold room.',
  do_not_use_look_for_dry_wood: 'Do not use it. Look for dried wood and discard what has dried.',
  look_for_dry_wood: 'Look for dried wood and discard what has dried.',
  set_the_clock: "Check this device's date and time; if they are right, tell the office.",
  send_and_fetch: 'Go where there is a network and fetch the records before use.',
}

function seenInEnglish(facts: FactsByCode['check.good']): string {
  const { live, sampled, what, checkedDays } = facts
  const looked =
    checkedDays === 0 ? 'today' : checkedDays === 1 ? 'yesterday' : `${checkedDays} days ago`
  return `${live} of ${sampled} ${what} were alive ${looked}`
}

function inAirInEnglish(vpdKPa: number | null): string {
  return vpdKPa === null ? '' : ` in air as dry as today’s (${vpdKPa} kPa)`
}

function degrees(tempC: number): string {
  return `${tempC} °C`
}

function warmestInEnglish(facts: FactsByCode['storage.warm']): string {
  if (facts.beganAt === null || facts.endedAt === null) return ''
  const minutes = Math.round((facts.endedAt - facts.beganAt) / 60_000)
  const from = new Date(facts.beganAt).toISOString().slice(0, 16).replace('T', ' ')
  const peak = facts.peakTempC === null ? '' : `, up to ${degrees(facts.peakTempC)}`
  return `; the longest time ${lengthInEnglish(minutes)} from ${from} UTC${peak}`
}

function forAgent(agentId: string | null, nameOf: NameOf): string {
  return agentId === null ? '' : ` for ${nameOf('agent', agentId)}`
}

function classWords(scheme: string | null): string {
  return scheme === null ? 'class' : `class of scheme ${scheme}:`
}
