// Answers each rule from what is on record: holds, does not hold, or not known; never certified.
import { standingAt } from '#trade/judge-sources.ts'
import type { LotFacts } from '#trade/lot-facts.ts'
import { localDay } from '#trade/zone-time.ts'
import { answer, plural } from './answer.ts'
import type { DossierFacts } from './facts.ts'
import type { RuleAnswer } from './dossier-shape.ts'
import { recallRules } from './recall-rules.ts'
import { recordRules } from './record-rules.ts'
import { classOfParts, schemeRules } from './scheme-rules.ts'
import type { SourceCut } from './scheme-rules.ts'

/** All rules in the order in which they are read. */
export function answerRules(facts: DossierFacts): RuleAnswer[] {
  return [
    ...recallRules(facts),
    originKnown(facts),
    registered(facts),
    standingAtCut(facts),
    standingSince(facts),
    testedBefore(facts),
    testedSince(facts),
    ...schemeRules(facts, sourceCuts(facts)),
    ...(facts.scope.recall === null ? [classOf(facts)] : []),
    ...(facts.scope.recall === null ? [noHold(facts)] : []),
    ...recordRules(facts),
  ]
}

const classOf = (facts: DossierFacts) =>
  classOfParts(partsOf(facts), unknownLayers(facts), originEntries(facts))

const known = (facts: DossierFacts) =>
  [...facts.lotFacts.values()].flatMap((lot) => (lot.known ? [lot] : []))

function originKnown(facts: DossierFacts): RuleAnswer {
  const { scope } = facts
  const unknownLots = [...facts.lotFacts.values()].filter((lot) => !lot.known || lot.originUnknown)
  const unknownLayers = scope.layers.filter((layer) => layer.origin_id === null)
  const nothing = scope.lots.length + scope.layers.length === 0
  const missing = unknownLots.length + unknownLayers.length + scope.unknown.length
  const ask = {
    rule:
      scope.recall === null
        ? 'Every layer and every lot is traced to a source on record'
        : 'Every lot that is reached is traced to a source on record',
    citation: 'WAC 16-462-021(1): a registered vine carries the number of its foundation vine',
    citationKnown: 'read',
  } as const
  if (nothing) return answer(ask, 'not known', 'nothing is on record of what this is made of')
  const because =
    `${plural(scope.lots.length, 'lot')}, ${plural(scope.sources.length, 'source')}; of unknown ` +
    `origin: ${plural(unknownLots.length, 'lot')}` +
    (scope.recall === null ? `, ${plural(unknownLayers.length, 'trunk layer')}; ` : '; ') +
    `named and not on record: ${plural(scope.unknown.length, 'thing')}`
  return answer(ask, missing === 0 ? 'holds' : 'not known', because, originEntries(facts))
}

/** Entries of the layers, and of the making of every lot and the registration of every source. */
function originEntries(facts: DossierFacts): number[] {
  const { layers, lots } = facts.scope
  return [
    ...layers.flatMap((layer) => facts.indexOf(layer.entry_id)),
    ...lots.flatMap((lot) => facts.restsOn('lot', lot.lot_id)),
    ...sourceEntries(facts, 'source'),
  ]
}

/** Entries that tell this of all sources in question. */
function sourceEntries(facts: DossierFacts, what: 'source' | 'test'): number[] {
  return facts.scope.sources.flatMap((source) => facts.restsOn(what, source.source_id))
}

function registered(facts: DossierFacts): RuleAnswer {
  const { sources } = facts.scope
  const without = sources.filter((source) => source.registry_number === null)
  const ask = {
    rule: 'Every source has a registry number',
    citation: '3 CCR § 3024.2(a)(7): an inventory of every registered vine',
    citationKnown: 'read',
  } as const
  if (sources.length === 0) return answer(ask, 'not known', 'no source is on record')
  const entries = sourceEntries(facts, 'source')
  if (without.length === 0) return answer(ask, 'holds', plural(sources.length, 'source'), entries)
  const names = without.map((source) => source.name).join(', ')
  const due = without.flatMap((source) => facts.restsOn('source', source.source_id))
  return answer(ask, 'not known', `no number is on record of: ${names}`, due)
}

function standingAtCut(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'Each source was in good standing on the day its wood was cut',
    citation: '3 CCR § 3024.1: registration is by the Department alone; standing as recorded here',
    citationKnown: 'read',
  } as const
  const used = sourcesUsed(facts)
  if (used.length === 0) return answer(ask, 'not known', 'no source is on record')
  const bad: string[] = []
  const unsure: string[] = []
  for (const { lot, source } of used) {
    const cutAt = source.cutAt === undefined ? lot.cutAt : source.cutAt
    const name = facts.name(source.sourceId)
    const standing = cutAt === null ? null : standingAt(source, cutAt)
    if (standing === null) unsure.push(name)
    else if (standing.standing !== 'good') {
      bad.push(`${name} (${standing.standing} since ${localDay(standing.fromAt, facts.zone)})`)
    }
  }
  const entries = standingEntries(facts)
  if (bad.length > 0) return answer(ask, 'does not hold', listed(bad), entries)
  if (unsure.length > 0) {
    const because = `standing or day of cutting is not on record for: ${listed(unsure)}`
    return answer(ask, 'not known', because, entries)
  }
  return answer(ask, 'holds', `${plural(used.length, 'cut')} of wood looked at`, entries)
}

/** Changes of standing, and the registrations from which a source is in good standing. */
function standingEntries(facts: DossierFacts): number[] {
  return [
    ...facts.standings.flatMap((line) => facts.indexOf(line.entry_id)),
    ...sourceEntries(facts, 'source'),
  ]
}

function standingSince(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'No source has lost its standing since',
    citation: 'OAR 603-051-0857(4): what is found later reaches what was made before (tree rule)',
    citationKnown: 'read',
  } as const
  const lost = sourcesUsed(facts).flatMap(({ lot, source }) => {
    const cutAt = source.cutAt === undefined ? lot.cutAt : source.cutAt
    const later = source.standings
      .filter(({ fromAt }) => fromAt > (cutAt ?? 0))
      .sort((one, other) => one.fromAt - other.fromAt)
    if (later.every(({ standing }) => standing === 'good')) return []
    const words = later.map(
      ({ standing, fromAt }) => `${standing} from ${localDay(fromAt, facts.zone)}`,
    )
    return [`${facts.name(source.sourceId)}: ${words.join(', ')}`]
  })
  if (known(facts).length === 0) return answer(ask, 'not known', 'no lot is on record')
  const entries = standingEntries(facts)
  if (lost.length > 0) return answer(ask, 'does not hold', listed(lost), entries)
  return answer(ask, 'holds', 'no later change of standing is on record', entries)
}

function testedBefore(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'Each source had been tested, and nothing detected, when its wood was cut',
    citation: 'WAC 16-462-027: registered vines are tested. Whether in time: the schemes’ rules',
    citationKnown: 'read',
  } as const
  const used = sourcesUsed(facts)
  if (used.length === 0) return answer(ask, 'not known', 'no source is on record')
  const positive: string[] = []
  const untested: string[] = []
  const last: string[] = []
  const entries: number[] = []
  for (const { lot, source } of used) {
    const cutAt = source.cutAt === undefined ? lot.cutAt : source.cutAt
    const cutDay = cutAt === null ? null : localDay(cutAt, facts.zone)
    const before = facts.tests.filter(
      (test) => test.source_id === source.sourceId && cutDay !== null && test.sampled_on <= cutDay,
    )
    const name = facts.name(source.sourceId)
    entries.push(...before.flatMap((test) => facts.indexOf(test.entry_id)))
    const found = before.filter((test) => test.result === 'detected').map((test) => test.agent)
    if (found.length > 0) positive.push(`${name}: ${[...new Set(found)].join(', ')}`)
    const latest = before
      .filter((test) => test.result !== 'inconclusive')
      .map((test) => test.sampled_on)
      .sort()
      .at(-1)
    if (latest === undefined) untested.push(name)
    else last.push(`${name}: last sampled ${latest}`)
  }
  if (positive.length > 0) {
    return answer(
      ask,
      'does not hold',
      `positive by the day of cutting: ${listed(positive)}`,
      entries,
    )
  }
  if (untested.length > 0) {
    const because = `no test by the day of cutting: ${listed(untested)}`
    return answer(ask, 'not known', because, [...entries, ...sourceEntries(facts, 'source')])
  }
  return answer(ask, 'holds', `nothing detected by the day of cutting; ${listed(last)}`, entries)
}

function testedSince(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'No test of a source is positive, to this day',
    citation: 'OAR 603-051-0857(4): a confirmed infected plant is removed, its block looked at',
    citationKnown: 'read',
  } as const
  const positive = facts.tests.filter((test) => test.result === 'detected')
  const entries = positive.flatMap((test) => facts.indexOf(test.entry_id))
  if (positive.length > 0) {
    const lines = positive.map(
      (test) => `${facts.name(test.source_id)}: ${test.agent}, sampled ${test.sampled_on}`,
    )
    return answer(ask, 'does not hold', listed(lines), entries)
  }
  if (facts.tests.length === 0) return answer(ask, 'not known', 'no test is on record')
  const all = sourceEntries(facts, 'test')
  return answer(ask, 'holds', `${plural(facts.tests.length, 'test')}, none positive`, all)
}

function noHold(facts: DossierFacts): RuleAnswer {
  const ask = {
    rule: 'No hold stands on the wood, its sources, or what it touched',
    citation: 'invariant 8 of this program; a hold follows its agent’s routes',
    citationKnown: 'our own',
  } as const
  const standing = known(facts).flatMap((lot) => lot.holds)
  const holds = new Set(standing.map((hold) => hold.subjectId))
  const held = facts.scope.sources.filter((source) => source.held).map((source) => source.source_id)
  for (const id of held) holds.add(id)
  if (known(facts).length === 0) return answer(ask, 'not known', 'no lot is on record')
  if (holds.size === 0) {
    const lots = facts.scope.lots.flatMap((lot) => facts.restsOn('lot', lot.lot_id))
    return answer(ask, 'holds', 'none stands', lots)
  }
  const entries = [
    ...standing.flatMap((hold) => facts.restsOn('hold', hold.holdId)),
    ...held.flatMap((id) => facts.restsOn('hold on', id)),
  ]
  return answer(ask, 'does not hold', listed([...holds].map((id) => facts.name(id))), entries)
}

type Known = Extract<LotFacts, { known: true }>

function sourcesUsed(facts: DossierFacts): { lot: Known; source: Known['sources'][number] }[] {
  return known(facts).flatMap((lot) => lot.sources.map((source) => ({ lot, source })))
}

/** Sources that trunk layers name have no day of cutting. */
function sourceCuts(facts: DossierFacts): SourceCut[] {
  const used = sourcesUsed(facts).map(({ lot, source }): SourceCut => {
    const cutAt = source.cutAt === undefined ? lot.cutAt : source.cutAt
    const cutDay = cutAt === null ? null : localDay(cutAt, facts.zone)
    return { sourceId: source.sourceId, cutDay }
  })
  const ids = new Set(used.map(({ sourceId }) => sourceId))
  const rest = facts.scope.sources.filter(({ source_id }) => !ids.has(source_id))
  return [...used, ...rest.map(({ source_id: sourceId }) => ({ sourceId, cutDay: null }))]
}

function partsOf(facts: DossierFacts) {
  return known(facts).map(({ lotId, scheme, className }) => {
    return { name: facts.name(lotId), scheme, className }
  })
}

const unknownLayers = (facts: DossierFacts) =>
  facts.scope.layers.filter((layer) => layer.origin_id === null).length

const listed = (words: readonly string[]) => [...new Set(words)].join('; ')
