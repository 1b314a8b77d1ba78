// What is written down when wood is cut in one go: the lot, its bundles and the tags on them.
import type { AccountShape } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import { BUNDLE_LIMIT } from '#wire/kinds/lots.ts'
import type { Draft } from '../../phone.ts'

/** A bundle tied in this cut, and the tag that was scanned onto it. */
export interface TiedBundle {
  readonly bundleId: string
  readonly code: string
  readonly sticks: number
}

/** What is known of the plants cut from; the lot takes it over as it is. */
export interface CutFrom {
  readonly sourceId: string
  readonly varietyId: string
  readonly clone: string | null
  readonly scheme: string | null
  readonly className: string | null
}

/** One cut as it was counted and tied. */
export interface Cut {
  readonly lotId: string
  readonly reference: string
  readonly material: 'scion wood' | 'rootstock wood'
  readonly harvestYear: number
  readonly sticks: number
  /** Usable buds on each stick of the sample. */
  readonly sample: readonly number[]
  readonly bundles: readonly TiedBundle[]
  /** A tag for the lot as a whole, when no bundles are tied. */
  readonly lotCode: string | null
  readonly to: AccountShape
  readonly note: string
}

/** Buds on a stick by the sample: the mean, rounded down so that wood is not promised twice. */
export function budsPerStick(sample: readonly number[]): number {
  if (sample.length === 0) return 0
  return Math.floor(sample.reduce((sum, buds) => sum + buds, 0) / sample.length)
}

/** Sticks of the cut that are in no bundle; less than none when more were tied than cut. */
export function looseSticks(cut: Pick<Cut, 'sticks' | 'bundles'>): number {
  return cut.sticks - cut.bundles.reduce((sum, bundle) => sum + bundle.sticks, 0)
}

/** Sticks that the next bundle gets: as many as the others, or the rest. */
export function nextBundle(cut: Pick<Cut, 'sticks' | 'bundles'>, each: number): number {
  return Math.max(0, Math.min(each, looseSticks(cut)))
}

/** Can one more bundle be tied? */
export function canTie(cut: Pick<Cut, 'sticks' | 'bundles'>): boolean {
  return looseSticks(cut) > 0 && cut.bundles.length < BUNDLE_LIMIT
}

/** The lot first, then its tags: the bundles exist before anything is bound to them. */
export function cutDrafts(cut: Cut, from: CutFrom): Draft[] {
  const body: EntryBody<'lot.cut'> = {
    lotId: cut.lotId,
    reference: cut.reference,
    material: cut.material,
    varietyId: from.varietyId,
    clone: from.clone,
    scheme: from.scheme,
    class: from.className,
    harvestYear: cut.harvestYear,
    budsPerStick: budsPerStick(cut.sample),
    sourceId: from.sourceId,
    sticks: cut.sticks,
    bundles: cut.bundles.map(({ bundleId, sticks }) => ({
      bundleId,
      unit: 'stick',
      count: sticks,
    })),
    to: cut.to,
    note: cut.note,
  }
  const bound = cut.bundles.map((bundle): Draft => ({
    kind: 'tag.bound',
    body: { code: bundle.code, thing: { kind: 'bundle', id: bundle.bundleId } },
  }))
  const whole: Draft[] =
    cut.lotCode === null
      ? []
      : [{ kind: 'tag.bound', body: { code: cut.lotCode, thing: { kind: 'lot', id: cut.lotId } } }]
  return [{ kind: 'lot.cut', body }, ...bound, ...whole]
}
