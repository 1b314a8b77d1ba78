// Entries about what was done to wood against pests and disease, and about the weather of the day.
import { z } from 'zod'
import { HOT_WATER_PURPOSES } from '#trade/hot-water-protocols.ts'
import { Id, Name, Note, When, Wood } from '../basics.ts'

/** Most pieces of wood, by lot and bundle, that one treatment names. */
export const TREATED_LIMIT = 100
/** Most readings of a hot water curve: a whole day at one a minute. */
export const CURVE_LIMIT = 1440
/** Most weather readings in one entry: three weeks by the hour. */
export const WEATHER_LIMIT = 504

const Minutes = z.number().min(0).max(1440)
const WaterTemp = z.number().min(0).max(100)

const Run = z.discriminatedUnion('by', [
  z.strictObject({
    by: z.literal('curve'),
    readings: z
      .array(z.strictObject({ minute: Minutes, tempC: WaterTemp }))
      .min(2)
      .max(CURVE_LIMIT)
      .describe('minutes since the wood went in, and the water then; in order of time'),
  }),
  z.strictObject({
    by: z.literal('set point'),
    tempC: WaterTemp,
    minutes: Minutes.describe('how long the wood was in; what was set, not what was measured'),
  }),
])

const HotWater = z.strictObject({
  treatment: z.literal('hot water'),
  purposes: z.array(z.enum(HOT_WATER_PURPOSES)).min(1).max(HOT_WATER_PURPOSES.length),
  run: Run,
})

const Dip = z.strictObject({
  treatment: z.enum(['fungicide dip', 'disinfectant dip']),
  product: Name,
  concentration: z
    .strictObject({
      value: z.number().min(0).max(1_000_000),
      unit: z.enum(['%', 'ppm', 'g/l', 'ml/l']),
    })
    .nullable(),
  dose: Name.nullable().describe('the concentration as the label words it'),
  minutes: Minutes.nullable(),
})

export const treatmentKinds = {
  /** Wood is treated with hot water, or dipped. It does not move by this entry. */
  'treatment.done': {
    v: 1,
    body: z.strictObject({
      treated: z.array(Wood).min(1).max(TREATED_LIMIT),
      bathId: Id.nullable().describe('the bath that it was treated in, where one was recorded'),
      placeId: Id.nullable().describe('the tank or place where it was treated'),
      done: z.discriminatedUnion('treatment', [HotWater, Dip]),
      note: Note,
    }),
  },
  /** Readings of the weather at a site, from a person or a station. */
  'weather.logged': {
    v: 1,
    body: z.strictObject({
      placeId: Id.nullable().describe('null for the nursery as a whole'),
      site: Name.nullable().describe('the station or site by name'),
      readings: z
        .array(
          z.strictObject({
            at: When,
            tempC: z.number().min(-60).max(60),
            humidityPercent: z.number().min(0).max(100),
            windMetresPerSecond: z.number().min(0).max(100).nullable(),
          }),
        )
        .min(1)
        .max(WEATHER_LIMIT),
    }),
  },
} as const
