// How far each way has come by which checkpoints leave the house, and who tries it now.
import type { Database } from '../../db/connect.ts'

/** The ways; `stamp` is none itself, but is asked for and tried again like them. */
export const deliveryWays = ['folder', 'post', 'mail', 'stamp'] as const
export type DeliveryWay = (typeof deliveryWays)[number]

/** How far a way has come; `problem` beside a time of delivery is a reservation. */
export type Delivery = {
  way: DeliveryWay
  size: number
  triedAt: Date
  deliveredAt: Date | null
  problem: string | null
}

/** Longest problem that is kept, in characters. */
const PROBLEM_LIMIT = 500
const underWay = 'it was begun, and what came of it was not written down'

/** What was sent last, or not, by every way that was ever tried. */
export async function listDeliveries(db: Database): Promise<Delivery[]> {
  const rows = await db.selectFrom('checkpoint_delivery').selectAll().orderBy('way').execute()
  return rows.map((row) => ({
    way: deliveryWays.find((way) => way === row.way) ?? 'folder',
    size: row.size,
    triedAt: new Date(row.tried_at),
    deliveredAt: row.delivered_at === null ? null : new Date(row.delivered_at),
    problem: row.problem,
  }))
}

/** The last try by one way. */
export async function deliveryBy(db: Database, way: DeliveryWay): Promise<Delivery | null> {
  return (await listDeliveries(db)).find((one) => one.way === way) ?? null
}

/**
 * Takes a try upon this process where several serve one database: false when another has begun one
 * since `before` was read. A process that dies meanwhile leaves a try that was not delivered.
 */
export async function claimTry(
  db: Database,
  way: DeliveryWay,
  before: Delivery | null,
  by: { size: number; now: Date },
): Promise<boolean> {
  const line = { size: by.size, tried_at: by.now, delivered_at: null, problem: underWay }
  const taken =
    before === null
      ? await db
          .insertInto('checkpoint_delivery')
          .values({ way, ...line })
          .onConflict((conflict) => conflict.doNothing())
          .executeTakeFirst()
          .then(({ numInsertedOrUpdatedRows }) => numInsertedOrUpdatedRows)
      : await db
          .updateTable('checkpoint_delivery')
          .set(line)
          .where('way', '=', way)
          .where('tried_at', '=', before.triedAt)
          .executeTakeFirst()
          .then(({ numUpdatedRows }) => numUpdatedRows)
  return (taken ?? 0n) > 0n
}

/**
 * Runs `work` and writes down what came of it; never throws for it. What `work` returns is kept
 * beside the delivery as a reservation. `secrets` are taken out of what a failure says.
 */
export async function noted(
  db: Database,
  way: DeliveryWay,
  by: { size: number; now: Date; secrets?: readonly string[] },
  work: () => Promise<string | null>,
): Promise<void> {
  let problem: string | null = null
  let isDelivered = true
  try {
    problem = await work()
  } catch (error) {
    isDelivered = false
    problem = without(by.secrets ?? [], wordsOf(error))
  }
  const line = {
    size: by.size,
    tried_at: by.now,
    delivered_at: isDelivered ? by.now : null,
    problem: problem?.slice(0, PROBLEM_LIMIT) ?? null,
  }
  await db
    .insertInto('checkpoint_delivery')
    .values({ way, ...line })
    .onConflict((conflict) => conflict.column('way').doUpdateSet(line))
    .execute()
}

function without(secrets: readonly string[], words: string): string {
  return secrets.reduce((text, secret) => text.replaceAll(secret, '…'), words)
}

function wordsOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error)
  const cause = error.cause instanceof Error ? `: ${error.cause.message}` : ''
  return `${error.message}${cause}`
}
