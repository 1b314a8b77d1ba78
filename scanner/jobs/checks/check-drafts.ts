// What is written down when a sample of wood is examined: living buds, or how wet it is.
import type { AccountShape } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import type { Draft } from '../../phone.ts'

export type Viability = EntryBody<'check.viability'>
export type Moisture = EntryBody<'check.moisture'>

/** The wood a sample came from, and what of it the check used up. */
export interface Sample {
  readonly lotId: string
  readonly bundleId: string | null
  readonly from: AccountShape
  readonly used: { readonly unit: 'stick' | 'bud'; readonly count: number } | null
  readonly note: string
}

/** How many of the buds (or of the sticks, for a cambium scratch) live. */
export function viabilityDraft(
  sample: Sample,
  seen: Pick<Viability, 'method' | 'sampledCount' | 'liveCount'> & { forcedDays: number | null },
): Draft {
  const forcedDays = seen.method === 'forcing test' ? seen.forcedDays : null
  return { kind: 'check.viability', body: { ...sampleOf(sample), ...seen, forcedDays } }
}

/** How wet the wood is, as it was measured. */
export function moistureDraft(sample: Sample, measured: Moisture['measured']): Draft {
  return { kind: 'check.moisture', body: { ...sampleOf(sample), measured } }
}

/** What cannot be true of a viability count; null when nothing speaks against it. */
export function viabilityProblem(
  sampled: number,
  live: number,
): 'none sampled' | 'more live' | null {
  if (sampled < 1) return 'none sampled'
  return live > sampled ? 'more live' : null
}

/** What cannot be true of weights: dried wood weighs less than fresh; cut wood gains no weight. */
export function moistureProblem(
  measured: Moisture['measured'],
): 'dry heavier' | 'now heavier' | 'over hundred' | null {
  switch (measured.by) {
    case 'oven':
      return measured.dryGrams > measured.freshGrams ? 'dry heavier' : null
    case 'weighing again':
      return measured.nowGrams > measured.atCutGrams ? 'now heavier' : null
    case 'meter':
      return measured.basis === 'fresh weight' && measured.percent > 100 ? 'over hundred' : null
  }
}

function sampleOf({ lotId, bundleId, from, used, note }: Sample) {
  return { lotId, bundleId, used: used === null ? null : { ...used, from }, note }
}
