// GET /api/tonight: what to pull and soak for some rows, worked out from their plans.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiTonight } from '#wire/api-tonight.ts'
import { When } from '#wire/basics.ts'
import { readTonight, TONIGHT_ROWS } from '../grafting/tonight.ts'
import type { Tonight } from '../grafting/tonight.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { problems } from './problems.ts'

/** Adds the operation to the machine API. */
export function addTonightRead(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(route(readers), async (c) => {
    const { db, clock } = c.get('services')
    const { rowId, readyAt, intoWaterAt } = c.req.valid('query')
    const asked = {
      rowIds: rowId.split(','),
      readyAt: readyAt === undefined ? null : new Date(readyAt),
      intoWaterAt: intoWaterAt === undefined ? null : new Date(intoWaterAt),
      ...{ drainMinutes: null, overageShare: null, budsPerVine: null },
      ...{ useCautioned: false, tankIds: null },
    }
    const tonight = await readTonight(db, asked, clock.now())
    return c.json(answer(ApiTonight, tonightTold(tonight)), 200)
  })
}

/** The list with names, ids and times as the API words them. */
function tonightTold({ asked, plan, needs, wood, tanks }: Tonight) {
  const variety = (id: string | null) =>
    needs.find(({ planNow }) => planNow.variety_id === id)?.planNow.variety ?? null
  return {
    readyAt: asked.readyAt,
    intoWaterAt: plan.times === null ? null : new Date(plan.times.intoWaterAt),
    outOfWaterAt: new Date(plan.outOfWaterAt),
    soakHours: plan.times?.soakHours ?? null,
    problems: plan.problems.map((problem) => ({
      code: problem.code,
      at:
        problem.code === 'too late'
          ? new Date(problem.soonestReadyAt)
          : problem.code === 'moved'
            ? new Date(problem.wishedAt)
            : null,
      sticks: problem.code === 'tanks full' ? problem.sticks : null,
    })),
    needs: plan.groups.map(
      ({ plan: of, rowIds, vines, budsToSet, budsWanted, budsFound, shortage }) => ({
        ...{ rowIds, vines, budsToSet, budsWanted, budsFound, shortage },
        varietyId: of.varietyId,
        variety: variety(of.varietyId),
        clone: of.clone,
        minimumClass: of.minimumClass,
      }),
    ),
    lines: plan.lines.flatMap((line) => {
      const piece = wood.get(line.woodKey)
      if (piece === undefined) return []
      return [
        {
          ...{ lotId: piece.lotId, reference: piece.reference, bundleId: piece.bundleId },
          ...{ bundleNumber: piece.bundleNumber, tagCode: piece.tagCode },
          ...{ variety: piece.variety, clone: piece.clone },
          ...{ accountKind: piece.account.kind, accountId: piece.account.id },
          from: piece.accountName,
          ...{ sticks: line.sticks, buds: line.buds, stays: line.stays, tankId: line.tankKey },
          isWhole: line.sticks === piece.sticks,
          cautions: line.fit.reasons.map(({ code }) => code),
        },
      ]
    }),
    tanks: tanks.map(({ tankId, name, bathId, sticksIn }) => ({ tankId, name, bathId, sticksIn })),
  }
}

const oneId = '[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}'
const RowIds = z
  .string()
  .max(TONIGHT_ROWS * 37)
  .regex(
    new RegExp(`^${oneId}(?:,${oneId})*$`),
    'ids of rows with commas between them are needed here',
  )

const route = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/tonight',
    operationId: 'readTonight',
    tags: ['soak'],
    summary: 'Work out what to pull and soak for rows',
    middleware: readers,
    request: {
      query: z.strictObject({
        rowId: RowIds.describe(`one row, or up to ${TONIGHT_ROWS} with commas between them`),
        readyAt: When.optional().describe('the next usual morning unless given'),
        intoWaterAt: When.optional().describe('this evening unless given'),
      }),
    },
    responses: {
      200: { description: 'the list', content: { 'application/json': { schema: ApiTonight } } },
      ...problems(400, 401, 403, 429),
    },
  })
