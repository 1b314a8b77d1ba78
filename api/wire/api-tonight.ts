// Tonight's list as the machine API tells of it.
import { z } from 'zod'
import { ApiId, ApiTime } from './api-lots.ts'

const text = z.string().nullable()

/** What rows ask for, and what was found for them. */
export const ApiTonightNeed = z
  .object({
    varietyId: text,
    variety: text,
    clone: text,
    minimumClass: text,
    rowIds: z.array(ApiId),
    vines: z.int(),
    budsToSet: z.int(),
    budsWanted: z.int().describe('with the extra share'),
    budsFound: z.int(),
    shortage: z.int().describe('buds to set for which no fit wood was found'),
  })
  .meta({ id: 'TonightNeed' })

/** One piece of wood to pull, or to leave in the water it lies in. */
export const ApiTonightLine = z
  .object({
    lotId: ApiId,
    reference: z.string(),
    bundleId: text,
    bundleNumber: z.int().nullable(),
    tagCode: text,
    variety: text,
    clone: text,
    accountKind: z.string(),
    accountId: ApiId,
    from: z.string().describe('where it is, in words'),
    sticks: z.int(),
    buds: z.int(),
    isWhole: z.boolean().describe('all the sticks that are there'),
    stays: z.boolean().describe('it is in water already and is left there'),
    tankId: text.describe('null where it stays, or no tank has room'),
    cautions: z.array(z.string()).describe('codes of the reasons for caution'),
  })
  .meta({ id: 'TonightLine' })

/** A tank that the list uses. */
export const ApiTonightTank = z
  .object({
    tankId: ApiId,
    name: z.string(),
    bathId: text.describe('null where it is still to be filled'),
    sticksIn: z.int(),
  })
  .meta({ id: 'TonightTank' })

/** The list of one night. */
export const ApiTonight = z
  .object({
    readyAt: ApiTime,
    intoWaterAt: ApiTime.nullable().describe('null when it is too late to soak long enough'),
    outOfWaterAt: ApiTime,
    soakHours: z.number().nullable(),
    problems: z.array(
      z.object({
        code: z.enum(['too late', 'moved', 'no tank', 'tanks full']),
        at: ApiTime.nullable().describe('soonest time ready, or the time that was wished for'),
        sticks: z.int().nullable(),
      }),
    ),
    needs: z.array(ApiTonightNeed),
    lines: z.array(ApiTonightLine),
    tanks: z.array(ApiTonightTank),
  })
  .meta({ id: 'Tonight' })
