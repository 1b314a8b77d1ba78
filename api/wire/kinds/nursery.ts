// Entries about the nursery's own ground and rules: profile, varieties, blocks, plans, policies.
import { z } from 'zod'
import { Count, Day, Id, LayerOrigin, Name, Note, Position, Reason, Year } from '../basics.ts'

/** Most rows in one block. */
export const ROW_LIMIT = 1000
/** Most sections with a trunk of their own in one row. */
export const SECTION_LIMIT = 200
/** Most layers of a trunk. */
export const LAYER_LIMIT = 8

/** One tissue of a vine before grafting, from the ground up. */
export const TrunkLayer = z.strictObject({
  role: z.enum(['rootstock', 'interstock']),
  varietyId: Id,
  clone: Name.nullable(),
  origin: LayerOrigin,
})

/** A stretch of a row whose vines have the same trunk. */
export const Section = z.strictObject({
  fromPosition: Position,
  toPosition: Position,
  plantedYear: Year.nullable(),
  layers: z.array(TrunkLayer).max(LAYER_LIMIT),
})

export const nurseryKinds = {
  /** The nursery's particulars as they print on labels; a later one replaces it. */
  'nursery.described': {
    v: 1,
    body: z.strictObject({
      name: Name,
      address: Note,
      country: z.string().regex(/^[A-Z]{2}$/, 'a two-letter country code is needed here'),
      operatorNumber: Name.nullable(),
      certificationBody: Name.nullable(),
      labelHost: z
        .string()
        .max(100)
        .regex(/^[a-z0-9.-]+(:\d+)?$/, 'a host name is needed here')
        .nullable(),
      timeZone: Name,
    }),
  },
  /** A variety with its spellings; a later one corrects it. */
  'variety.registered': {
    v: 1,
    body: z.strictObject({
      varietyId: Id,
      name: Name,
      synonyms: z.array(Name).max(20),
      use: z.enum(['scion', 'rootstock', 'both']),
    }),
  },
  /** A block of vines is made known; a later one corrects it. */
  'block.registered': {
    v: 1,
    body: z.strictObject({ blockId: Id, name: Name, note: Note }),
  },
  /** One row of a block as it stands; a later one for the same row replaces it. */
  'row.laid_out': {
    v: 1,
    body: z.strictObject({
      rowId: Id,
      blockId: Id,
      label: Name.max(20),
      sequence: z.int().min(1).max(ROW_LIMIT).describe('its place in the block, from 1'),
      positionCount: Position,
      headAt: Name.nullable().describe('which end position 1 is at, in words'),
      missing: z.array(Position).max(2000).describe('positions without a vine'),
      sections: z.array(Section).max(SECTION_LIMIT),
    }),
  },
  /** A vine is gone from its position. */
  'vine.removed': {
    v: 1,
    body: z.strictObject({ rowId: Id, position: Position, reason: Reason }),
  },
  /** A new vine stands at a position; what stood there before is another vine. */
  'vine.planted': {
    v: 1,
    body: z.strictObject({
      rowId: Id,
      position: Position,
      plantedYear: Year.nullable(),
      layers: z.array(TrunkLayer).max(LAYER_LIMIT),
      note: Note,
    }),
  },
  /** What is to be grafted on a stretch of a row in a season. */
  'row.planned': {
    v: 1,
    body: z.strictObject({
      rowId: Id,
      fromPosition: Position,
      toPosition: Position,
      season: Year,
      varietyId: Id,
      clone: Name.nullable(),
      class: Name.nullable(),
      method: Name.nullable(),
      budsPerVine: Count.max(10),
    }),
  },
  /** A number that judgement uses, set by this nursery, with its source. */
  'policy.set': {
    v: 1,
    body: z.strictObject({
      key: Name,
      value: z.union([z.number(), z.boolean(), Name, z.array(Name).max(50)]),
      source: Name,
      effectiveFrom: Day,
    }),
  },
} as const
