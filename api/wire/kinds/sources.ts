// Entries about the registered plants that wood is cut from.
import { z } from 'zod'
import { Day, Id, Name, Note, Reason, VineAddress, Year } from '../basics.ts'

export const sourceKinds = {
  /** A source block or vine is put on the register; a later one for the same id corrects it. */
  'source.registered': {
    v: 1,
    body: z.strictObject({
      sourceId: Id,
      level: z.enum(['block', 'vine']),
      parentSourceId: Id.nullable().describe('the source block that a source vine stands in'),
      name: Name,
      registryNumber: Name.nullable(),
      varietyId: Id,
      clone: Name.nullable(),
      scheme: Name.nullable(),
      class: Name.nullable(),
      plantedYear: Year.nullable(),
      originLotId: Id.nullable().describe('the lot that this source was itself grown from'),
      vine: VineAddress.nullable().describe('the field vine that serves as this source'),
      note: Note,
    }),
  },
  /** The register's standing of a source changed from a day on. */
  'source.standing_changed': {
    v: 1,
    body: z.strictObject({
      sourceId: Id,
      standing: z.enum(['good', 'suspended', 'withdrawn']),
      effectiveFrom: Day,
      reason: Reason,
    }),
  },
  /** A health test of a source, as the laboratory reported it. */
  'source.tested': {
    v: 1,
    body: z.strictObject({
      sourceId: Id,
      agent: Name,
      method: Name,
      laboratory: Name,
      sampledOn: Day,
      pooledVines: z.int().min(1).max(1000),
      result: z.enum(['not detected', 'detected', 'inconclusive']),
      sampleReference: Name.nullable(),
      note: Note,
    }),
  },
  /** Somebody looked at a source: what for, what was seen, and what stands near. */
  'source.inspected': {
    v: 1,
    body: z.strictObject({
      sourceId: Id,
      kind: z.enum(['visual inspection', 'isolation', 'trueness to type', 'records', 'other']),
      inspectedOn: Day,
      partyId: Id.nullable().describe('the authority or firm that looked; null for the nursery'),
      result: z.enum(['in order', 'not in order', 'not decided']),
      isolationMetres: z
        .number()
        .min(0)
        .max(100_000)
        .nullable()
        .describe('to the nearest vines that are not of this source; null when not measured'),
      nearby: Note.describe('what stands there'),
      note: Note,
    }),
  },
  /**
   * The nursery sets a rule of a scheme that this program does not know, on the word of
   * `citation`. A later one for the same scheme, topic and class takes its place; an amount of
   * null takes the rule away.
   */
  'scheme.rule_set': {
    v: 1,
    body: z.strictObject({
      scheme: Name,
      topic: z.enum(['retest', 'isolation', 'inspection']),
      className: Name.nullable().describe('null: for every class'),
      amount: z
        .number()
        .min(0)
        .max(100_000)
        .nullable()
        .describe('months between tests, metres, or inspections a year'),
      citation: Reason.describe('where the rule is written'),
    }),
  },
} as const
