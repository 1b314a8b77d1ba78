// What a phone is given to know without a network: the whole, or what changed since the last one.
//
// Things that come by the thousand are rows of plain values (tuples), each named beside its shape.
// Times are epoch milliseconds: the phone reckons with them and shows none as it stands.
import { z } from 'zod'
import { Unit } from './basics.ts'

/** Raised when a shape below changes; a phone that holds another version fetches the whole. */
export const SNAPSHOT_VERSION = 3
/** Most entries that one snapshot may be behind before the whole is sent again. */
export const SNAPSHOT_ENTRY_LIMIT = 5000

const text = z.string().nullable()
const id = z.string()
const ms = z.number().describe('epoch milliseconds')
const digest = z.string().describe('changes whenever this part does')

/** Somebody or something by name. */
const named = z.object({ id, name: z.string() })

/** The nursery's own things, of which there are few and which change seldom. */
export const SnapshotSetting = z
  .object({
    digest,
    host: text.describe('the host in the address of labels that leave the nursery'),
    timeZone: z.string(),
    seasonFrom: ms.describe('when the season began, by the nursery’s calendar'),
    people: z.array(named).describe('who works here, by the name they are called'),
    parties: z.array(named.extend({ role: z.string() })),
    varieties: z.array(named),
    methods: z.array(z.string()).describe('methods of grafting, the most used first'),
    places: z.array(
      named.extend({ placeKind: z.string(), insidePlaceId: id.nullable(), cooled: z.boolean() }),
    ),
    policies: z
      .array(z.object({ key: z.string(), value: z.unknown(), source: z.string() }))
      .describe('what this nursery set otherwise than the published defaults'),
  })
  .meta({ id: 'SnapshotSetting' })

/** The register of sources, with what they in turn came of. */
export const SnapshotSources = z
  .object({
    digest,
    sources: z.array(
      z.object({
        id,
        name: text.describe('null for one that entries use and nobody registered'),
        level: text,
        parentId: id.nullable(),
        varietyId: id.nullable(),
        clone: text,
        scheme: text,
        className: text,
        standings: z.array(z.tuple([z.string(), ms])).describe('standing, from when'),
      }),
    ),
    edges: z.array(z.tuple([id, id])).describe('came of, for whatever is upstream of a source'),
  })
  .meta({ id: 'SnapshotSources' })

/** Baths that stand, or were filled this season or the one before. */
export const SnapshotBaths = z
  .object({
    digest,
    baths: z.array(
      z.object({
        id,
        filled: z.array(z.tuple([id, ms])).describe('tank, when; the first counts'),
        emptied: z.array(ms).describe('the first counts'),
      }),
    ),
  })
  .meta({ id: 'SnapshotBaths' })

/** Every hold that stands, and what wood that came of something held has touched. */
export const SnapshotHolds = z
  .object({
    digest,
    holds: z.array(
      z.object({ holdId: id, onKind: z.string(), onId: id, agent: text.describe('null: any') }),
    ),
    heldWood: z.array(
      z.object({
        lotId: id,
        cameOf: z.array(id).describe('what it came of that is held, itself perhaps included'),
        baths: z.array(z.tuple([id, ms])).describe('bath, when the lot first came into it'),
      }),
    ),
    spells: z
      .array(
        z.object({
          blade: id,
          cuts: z.array(z.tuple([id, ms, ms])).describe('lot, its first and its last cut'),
          cleanedAt: ms
            .nullable()
            .describe('when a disinfection ended it; null: none yet, or rest'),
        }),
      )
      .describe(
        'what a blade cut from the first held wood on until it was disinfected or lay unused; ' +
          'the blade is the tagged knife, or else the person whose knife it was',
      ),
  })
  .meta({ id: 'SnapshotHolds' })

/** The air of the last day: as many readings as tell how strongly it dries from now on. */
export const SnapshotWeather = z
  .object({
    digest,
    readings: z
      .array(z.tuple([ms, z.number(), z.number()]))
      .describe('when, °C, per cent of relative humidity; in order of time'),
  })
  .meta({ id: 'SnapshotWeather' })

/** A tag's code, with every entry that bound or ended it, the earliest first. */
export const SnapshotCode = z
  .object({
    code: z.string(),
    printed: z.boolean(),
    bindings: z.array(z.tuple([z.string(), id, ms])).describe('kind of thing, its id, when'),
    ends: z.array(z.tuple([z.string(), ms])).describe('spoiled or replaced, when'),
  })
  .meta({ id: 'SnapshotCode' })

/** A lot as the entries that made it say; the first counts. */
const making = z.object({
  entryId: id,
  reference: z.string(),
  madeBy: z.string(),
  material: z.string(),
  varietyId: id,
  clone: text,
  scheme: text,
  className: text,
  sourceId: id.nullable(),
  budsPerStick: z.int(),
  at: ms,
})

/** Buds, or cambium of sticks, that were looked at. */
const counted = z.object({
  checkedAt: ms,
  method: z.enum(['cut bud', 'forcing test', 'cambium scratch']),
  live: z.int(),
  sampled: z.int(),
})

/** Moisture as it was measured. */
const measured = z.discriminatedUnion('by', [
  z.object({
    checkedAt: ms,
    by: z.literal('oven'),
    freshGrams: z.number(),
    dryGrams: z.number(),
  }),
  z.object({
    checkedAt: ms,
    by: z.literal('meter'),
    percent: z.number(),
    basis: z.enum(['fresh weight', 'dry weight']),
  }),
  z.object({
    checkedAt: ms,
    by: z.literal('weighing again'),
    atCutGrams: z.number(),
    nowGrams: z.number(),
  }),
])

/** A lot with what its facts are worked out from. */
export const SnapshotLot = z
  .object({
    lotId: id,
    makings: z.array(making),
    parents: z.array(id).describe('lots that it was parted from or combined of'),
    bundles: z
      .array(z.tuple([id, z.int(), Unit, z.int()]))
      .describe('bundle, number, unit and count as it was tied'),
    moves: z
      .array(z.tuple([z.string(), id, Unit, z.int(), ms, id.nullable()]))
      .describe(
        'account, its id, unit, count (below zero: out), when, bundle (null: loose); in order of ' +
          'time: in and out of places and baths, and into hands',
      ),
    stock: z
      .array(z.tuple([z.string(), id, id.nullable(), z.int(), z.int()]))
      .describe('account, its id, bundle (null: loose), sticks, buds; where wood is at hand'),
    handovers: z.array(id).describe('entries that put wood of this lot into somebody’s hands'),
    cuts: z
      .array(z.tuple([id, ms, ms]))
      .describe('blade, first and last graft of a day in UTC with wood of this lot'),
    viability: z.array(counted).describe('checks of buds and cambium, in order of time'),
    moisture: z.array(measured).describe('checks of moisture, in order of time'),
    other: z
      .record(z.string(), z.unknown())
      .describe('facts for judgement that the rest does not hold'),
  })
  .meta({ id: 'SnapshotLot' })

/** A row with this season’s plans and what was done on its vines this season and the last. */
export const SnapshotRow = z
  .object({
    rowId: id,
    label: z.string(),
    sequence: z.int(),
    positionCount: z.int(),
    headAt: text,
    plans: z
      .array(
        z.object({
          fromPosition: z.int(),
          toPosition: z.int(),
          season: z.int(),
          varietyId: id,
          clone: text,
          className: text,
          method: text,
          budsPerVine: z.int(),
        }),
      )
      .describe('the latest first; a later one covers an earlier'),
    gone: z
      .array(z.tuple([z.int(), ms]))
      .describe('position without a vine since then, unless a later graft shows one'),
    began: z.array(z.tuple([z.int(), ms])).describe('position planted anew, when'),
    grafts: z
      .array(z.tuple([id, z.int(), id, z.int(), ms]))
      .describe('graft, position, lot, buds, when'),
    removals: z.array(z.tuple([id, ms])).describe('graft, when'),
    checks: z
      .array(z.tuple([z.int(), id.nullable(), ms]))
      .describe('position, graft (null: all of the vine), when'),
    ties: z
      .array(z.tuple([z.int(), id.nullable(), ms]))
      .describe('position, graft (null: all of the vine), when its tie was released'),
    skips: z.array(z.tuple([z.int(), ms])).describe('position, when'),
  })
  .meta({ id: 'SnapshotRow' })

/** How far the records were counted in. */
const stand = {
  version: z.int(),
  whole: z.boolean().describe('false: only what changed since the snapshot asked with'),
  next: z.int().min(0).describe('entries below this journal index are counted in'),
  lastHash: z.string().describe('leaf hash of the last entry counted in; empty for none'),
  takenAt: z.iso.datetime().describe('by the server’s clock'),
  season: z.int(),
}

/** Everything but the rows of blocks. */
export const Snapshot = z
  .object({
    ...stand,
    setting: SnapshotSetting.nullable().describe('null: as it was'),
    sources: SnapshotSources.nullable().describe('null: as it was'),
    baths: SnapshotBaths.nullable().describe('null: as it was'),
    holds: SnapshotHolds.nullable().describe('null: as it was'),
    weather: SnapshotWeather.nullable().describe('null: as it was'),
    lots: z.array(SnapshotLot).describe('put these in the place of those with the same id'),
    goneLots: z.array(id).describe('lots to be left out from now on'),
    codes: z.array(SnapshotCode).describe('put these in the place of those with the same code'),
    blocks: z.array(
      named.extend({
        positions: z.int(),
        thisSeason: z.boolean().describe('something is planned or was done there this season'),
        changed: z.boolean().describe('its rows must be fetched'),
      }),
    ),
  })
  .meta({ id: 'Snapshot' })

/** The rows of one block. */
export const SnapshotBlock = z
  .object({
    ...stand,
    blockId: id,
    rowIds: z.array(id).describe('all rows of the block; leave any other out'),
    rows: z.array(SnapshotRow).describe('put these in the place of those with the same id'),
  })
  .meta({ id: 'SnapshotBlock' })

export type SnapshotShape = z.infer<typeof Snapshot>
export type SnapshotBlockShape = z.infer<typeof SnapshotBlock>
export type SnapshotSettingShape = z.infer<typeof SnapshotSetting>
export type SnapshotSourcesShape = z.infer<typeof SnapshotSources>
export type SnapshotBathsShape = z.infer<typeof SnapshotBaths>
export type SnapshotHoldsShape = z.infer<typeof SnapshotHolds>
export type SnapshotWeatherShape = z.infer<typeof SnapshotWeather>
export type SnapshotLotShape = z.infer<typeof SnapshotLot>
export type SnapshotCodeShape = z.infer<typeof SnapshotCode>
export type SnapshotRowShape = z.infer<typeof SnapshotRow>

/**
 * The query of a request for what changed: how far the phone is, and the parts it holds.
 * @param digests of setting, sources, baths, holds and weather, as they were given
 */
export function snapshotQuery(
  from: { readonly next: number; readonly lastHash: string; readonly season: number },
  digests: readonly string[] = [],
): string {
  const have = digests.length === 0 ? '' : `&have=${digests.join('.')}`
  return `?after=${from.next}&last=${from.lastHash}&season=${from.season}${have}`
}
