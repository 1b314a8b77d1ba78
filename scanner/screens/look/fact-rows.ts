// What the phone knows of a thing, as pairs of a name and a fact.
import type { AccountShape } from '#wire/basics.ts'
import type { Material } from '#trade/lot-facts.ts'
import type { Phone, PhoneLot, PhoneSource } from '../../phone.ts'
import type { PlainKey } from '../../words/say.ts'
import type { Speaker } from '../../words/speaker.ts'

export type FactRow = readonly [name: string, fact: string]

/**
 * Whole sticks and loose buds, the ones that are not zero. Opened sticks are booked as buds that
 * are missing: then what is left is told in buds alone, sticks × buds on a stick − buds used.
 */
export function quantityWords(
  lot: PhoneLot,
  { sticks, buds }: { readonly sticks: number; readonly buds: number },
  speaker: Speaker,
): string {
  if (buds < 0) return speaker.say('count.buds', { count: sticks * lot.budsPerStick + buds })
  const words = []
  if (sticks !== 0 || buds === 0) words.push(speaker.say('count.sticks', { count: sticks }))
  if (buds !== 0) words.push(speaker.say('count.buds', { count: buds }))
  return words.join(' + ')
}

export function leftRows(lot: PhoneLot | null, speaker: Speaker): FactRow[] {
  if (lot === null || lot.facts.left === null) return []
  return [[speaker.say('lot.left'), quantityWords(lot, lot.facts.left, speaker)]]
}

/** A bundle's size as it was tied, and what is left of the lot. */
export function bundleRows(bundleId: string, phone: Phone, speaker: Speaker): FactRow[] {
  const lot = phone.snapshot.lotOfBundle(bundleId)
  const bundle = lot?.bundles.find((candidate) => candidate.bundleId === bundleId)
  if (lot === null || bundle === undefined) return []
  const { count, unit } = bundle
  const size =
    unit === 'bud'
      ? speaker.say('count.buds', { count })
      : speaker.say('lot.sticksOf', { count, buds: lot.budsPerStick })
  return [[speaker.say('lot.inBundle'), size], ...leftRows(lot, speaker)]
}

export function rowRows(rowId: string, phone: Phone, speaker: Speaker): FactRow[] {
  const row = phone.snapshot.row(rowId)
  if (row === null) return []
  const vines = phone.snapshot.vines(rowId)
  const count = (test: (vine: (typeof vines)[number]) => boolean) =>
    speaker.number(vines.filter(test).length)
  const rows: FactRow[] = [[speaker.say('rowFacts.positions'), speaker.number(row.positionCount)]]
  if (row.headAt !== null) rows.push([speaker.say('rowFacts.headAt'), row.headAt])
  for (const plan of phone.snapshot.plans(rowId)) {
    const variety = [plan.varietyName, plan.clone, plan.className]
    rows.push([
      speaker.say('rowFacts.plan'),
      speaker.say('rowFacts.planLine', {
        from: plan.fromPosition,
        to: plan.toPosition,
        variety: variety.filter((word) => word !== null).join(' · '),
      }),
    ])
  }
  rows.push([speaker.say('rowFacts.missing'), count((vine) => vine.missing)])
  const isGrafted = (vine: (typeof vines)[number]) => vine.grafts.some((graft) => !graft.removed)
  rows.push([speaker.say('rowFacts.grafted'), count(isGrafted)])
  rows.push([speaker.say('rowFacts.skipped'), count((vine) => vine.skipped)])
  const isChecked = (vine: (typeof vines)[number]) =>
    vine.grafts.some((graft) => graft.takeCheckedAt !== null)
  rows.push([speaker.say('rowFacts.checked'), count(isChecked)])
  return rows
}

export function placeRows(placeId: string, phone: Phone, speaker: Speaker): FactRow[] {
  const place = phone.snapshot.place(placeId)
  if (place === null) return []
  const rows: FactRow[] = []
  if (place.insidePlaceId !== null) {
    const outer = phone.snapshot.nameOf(place.insidePlaceId)
    if (outer !== null) rows.push([speaker.say('place.inside'), outer])
  }
  rows.push([speaker.say('place.cooled'), speaker.say(place.cooled ? 'part.yes' : 'part.no')])
  rows.push(...holdingRows({ kind: 'place', id: placeId }, phone, speaker))
  return rows
}

export function bathRows(bathId: string, phone: Phone, speaker: Speaker): FactRow[] {
  const bath = phone.snapshot.bath(bathId)
  if (bath === null) return []
  const nowMs = phone.now().getTime()
  const rows: FactRow[] = [
    [speaker.say('bath.place'), phone.snapshot.nameOf(bath.placeId) ?? '–'],
    [speaker.say('bath.filled'), speaker.time(bath.filledAt, nowMs)],
    [speaker.say('bath.emptied'), speaker.say(bath.emptied ? 'part.yes' : 'part.no')],
  ]
  rows.push(...holdingRows({ kind: 'bath', id: bathId }, phone, speaker))
  return rows
}

export function sourceRows(sourceId: string, phone: Phone, speaker: Speaker): FactRow[] {
  const source = phone.snapshot.source(sourceId)
  if (source === null) return []
  const rows: FactRow[] = [
    [
      speaker.say('source.level'),
      speaker.say(source.level === 'vine' ? 'source.vine' : 'source.block'),
    ],
    [speaker.say('lot.variety'), source.varietyName],
  ]
  if (source.clone !== null) rows.push([speaker.say('lot.clone'), source.clone])
  if (source.scheme !== null) rows.push([speaker.say('lot.scheme'), source.scheme])
  if (source.className !== null) rows.push([speaker.say('lot.class'), source.className])
  rows.push([speaker.say('source.standing'), standingWords(source, speaker)])
  return rows
}

/** Every lot that an account holds wood of. */
function holdingRows(account: AccountShape, phone: Phone, speaker: Speaker): FactRow[] {
  const rows = phone.snapshot.lots().flatMap((lot): FactRow[] => {
    const held = lot.stock.filter(
      (stock) => stock.account.kind === account.kind && stock.account.id === account.id,
    )
    const sticks = held.reduce((sum, stock) => sum + stock.sticks, 0)
    const buds = held.reduce((sum, stock) => sum + stock.buds, 0)
    if (sticks === 0 && buds === 0) return []
    return [[lot.reference, quantityWords(lot, { sticks, buds }, speaker)]]
  })
  return rows.length > 0 ? rows : [[speaker.say('place.holds'), speaker.say('place.empty')]]
}

/** The name of an account, with its kind where a name alone would mislead. */
export function accountWords(account: AccountShape, phone: Phone, speaker: Speaker): string {
  if (account.kind === 'unknown') return speaker.say('account.unknown')
  const name = phone.snapshot.nameOf(account.id) ?? account.id.slice(0, 8)
  return speaker.say(`account.${account.kind}`, { name })
}

const MATERIAL_WORDS: Readonly<Record<Material, PlainKey>> = {
  'scion wood': 'material.scion',
  'rootstock wood': 'material.rootstock',
  'grafted vine': 'material.grafted',
  'rooted vine': 'material.rooted',
  'potted vine': 'material.potted',
}

export function materialWords(material: string, speaker: Speaker): string {
  return Object.hasOwn(MATERIAL_WORDS, material)
    ? speaker.say(MATERIAL_WORDS[material as Material])
    : material
}

const STANDING_WORDS: Readonly<Record<string, PlainKey>> = {
  good: 'standing.good',
  suspended: 'standing.suspended',
  withdrawn: 'standing.withdrawn',
}

function standingWords(source: PhoneSource, speaker: Speaker): string {
  const key = STANDING_WORDS[source.standing]
  return key === undefined ? source.standing : speaker.say(key)
}
