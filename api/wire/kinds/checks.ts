// Entries about samples of wood that were examined: living buds, cambium, moisture.
import { z } from 'zod'
import { Account, Count, CountOrNone, Id, Note, Unit } from '../basics.ts'

/** Heaviest sample that is weighed, in grams. */
const GRAM_LIMIT = 100_000
const Grams = z.number().min(0.001).max(GRAM_LIMIT)

const sample = {
  lotId: Id,
  bundleId: Id.nullable().describe('the bundle sampled; null for the lot as a whole'),
  used: z
    .strictObject({ unit: Unit, count: Count, from: Account })
    .nullable()
    .describe('wood that the check used up, and who or what held it; null for none'),
  note: Note,
}

export const checkKinds = {
  /** Buds or cambium of a sample are looked at: how many of them live. */
  'check.viability': {
    v: 1,
    body: z.strictObject({
      ...sample,
      method: z.enum(['cut bud', 'forcing test', 'cambium scratch']),
      sampledCount: Count.max(10_000).describe('buds, or sticks for a cambium scratch'),
      liveCount: CountOrNone.max(10_000),
      forcedDays: z.int().min(0).max(120).nullable().describe('days forced; forcing test only'),
    }),
  },
  /** How wet the wood of a sample is, with its basis named. */
  'check.moisture': {
    v: 1,
    body: z.strictObject({
      ...sample,
      measured: z.discriminatedUnion('by', [
        z.strictObject({ by: z.literal('oven'), freshGrams: Grams, dryGrams: Grams }),
        z.strictObject({
          by: z.literal('meter'),
          percent: z.number().min(0).max(400),
          basis: z.enum(['fresh weight', 'dry weight']),
        }),
        z.strictObject({
          by: z.literal('weighing again'),
          atCutGrams: Grams,
          nowGrams: Grams,
        }),
      ]),
    }),
  },
} as const
