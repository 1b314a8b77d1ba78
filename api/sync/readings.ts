// POST /api/readings: a gateway hands over what a logger read. GET /api/loggers: which there are.
import { createRoute } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import {
  ApiLoggers,
  READINGS_BATCH_LIMIT,
  READINGS_BYTE_LIMIT,
  ReadingsAnswer,
  ReadingsBatch,
} from '#wire/api-readings.ts'
import { NIL_ID } from '#wire/basics.ts'
import { refuse } from '../platform/errors.ts'
import { recordReadings } from '../store/record-readings.ts'
import { placeAt, readLogger, readLoggers } from '../store/loggers.ts'
import type { NewReading } from '../store/log-readings.ts'
import { answer } from './answer.ts'
import { onlyDevice, provenBatch } from './device.ts'
import { bodyWithin, machineThatWrites } from './machine.ts'
import type { ApiEnv, Readers } from './device.ts'
import { problems } from './problems.ts'

/** Adds both operations to the machine API. */
export function addReadings(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(sendRoute, async (c) => {
    const { db, clock } = c.get('services')
    const { loggerId, readings } = await readBody(c.req)
    const now = clock.now()
    const desk = { deviceId: c.get('device').deviceId, personId: NIL_ID, now }
    const recorded = await recordReadings(db, desk, loggerId, inOrder(readings, now))
    const knownLogger = (await readLogger(db, loggerId)) !== null
    return c.json(answer(ReadingsAnswer, { ...recorded, knownLogger }), 200)
  })
  api.openapi(listRoute(readers), async (c) => {
    const { db, clock } = c.get('services')
    const now = clock.now().getTime()
    const loggers = (await readLoggers(db)).map((logger) => {
      const { loggerId, name, serial } = logger
      return { loggerId, name, serial, placeId: placeAt(logger, now) }
    })
    return c.json(answer(ApiLoggers, { loggers }), 200)
  })
}

async function readBody(request: { text: () => Promise<string> }) {
  let value: unknown
  try {
    value = JSON.parse(await request.text())
  } catch {
    refuse('not_json', 'the body is not JSON; send { "loggerId": …, "readings": [ … ] }', {
      status: 400,
    })
  }
  const read = ReadingsBatch.safeParse(value)
  if (read.success) return read.data
  const fields = read.error.issues.slice(0, 100).map((issue) => ({
    field: issue.path.join('.') || 'body',
    message: issue.message,
  }))
  const first = fields[0]
  return refuse('bad_readings', `${first?.field ?? ''}: ${first?.message ?? ''}`, { fields })
}

/** How far a reading may lie ahead of the server's clock, in minutes. */
const AHEAD_MINUTES = 15

type SentReading = { at: string; tempC: number; humidityPercent?: number | null | undefined }

/** In order of time; refuses readings in the future, each by its place, with nothing recorded. */
function inOrder(readings: readonly SentReading[], now: Date): NewReading[] {
  const latest = now.getTime() + AHEAD_MINUTES * 60_000
  const late = readings.flatMap(({ at }, nr) => {
    if (Date.parse(at) <= latest) return []
    return [{ field: `readings.${nr}.at`, message: `${at} lies in the future` }]
  })
  if (late[0] !== undefined) {
    const detail = `${late.length} readings lie in the future (${late[0].message}): set the clock`
    refuse('in_future', `${detail} of the logger and send again; nothing was recorded`, {
      fields: late.slice(0, 100),
    })
  }
  return readings
    .map(({ at, tempC, humidityPercent }): NewReading => ({
      at: Math.floor(Date.parse(at) / 1000) * 1000,
      centiC: Math.round(tempC * 100),
      humidityTenths: typeof humidityPercent === 'number' ? Math.round(humidityPercent * 10) : null,
    }))
    .sort((one, other) => one.at - other.at || other.centiC - one.centiC)
    .filter((reading, nr, all) => reading.at !== all[nr - 1]?.at)
}

const onlyMachine = machineThatWrites('temperature.logged', 'sends readings')
const withinLimit = bodyWithin(READINGS_BYTE_LIMIT, 'the body')

const sendRoute = createRoute({
  method: 'post',
  path: '/readings',
  operationId: 'sendReadings',
  tags: ['readings'],
  summary: 'Hand over readings of a logger',
  description:
    'Readings of temperature and humidity, written as entries of the machine that sends them, ' +
    'one for each day. Sending the same readings again records nothing anew. Send an hour or a ' +
    'day at a time: every request makes at least one entry.',
  security: [{ device: [] }],
  middleware: [onlyDevice, onlyMachine, withinLimit, provenBatch] as const,
  request: {
    body: {
      required: true,
      description: `at most ${READINGS_BATCH_LIMIT} readings and ${READINGS_BYTE_LIMIT} bytes`,
      // A plain reference, not a zod shape: problems are named by place, with what to do.
      content: { 'application/json': { schema: { $ref: '#/components/schemas/ReadingsBatch' } } },
    },
  },
  responses: {
    200: {
      description: 'what became of the readings',
      content: { 'application/json': { schema: ReadingsAnswer } },
    },
    ...problems(400, 401, 403, 409, 413, 422, 429),
  },
})

const listRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/loggers',
    operationId: 'listLoggers',
    tags: ['readings'],
    summary: 'Which loggers are registered, and where they stand',
    middleware: readers,
    responses: {
      200: {
        description: 'all loggers by name',
        content: { 'application/json': { schema: ApiLoggers } },
      },
      ...problems(401, 403, 429),
    },
  })
