// Has the time of checkpoints stamped by an outside authority, and keeps the stamps.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { StampSettings } from '../platform/proof-settings.ts'
import { claimTry, deliveryBy, noted } from './checkpoint-delivery.ts'
import { lastCheckpoint } from './checkpoints.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { checkStampAnswer } from './stamp-answer.ts'
import { postQuestion, stampQuestion } from './stamp-question.ts'

/** A stamp that was checked when it came, with the note of the checkpoint that it stamps. */
export type KeptStamp = {
  size: number
  keyNumber: number
  note: string
  askedAt: Date
  /** As the stamp itself says. */
  stampedAt: Date
  authority: string
  /** Was it held against certificates that the nursery trusts? */
  isTrusted: boolean
  /** The authority's whole answer, a TimeStampResp of RFC 3161. */
  answer: Buffer
}

/** `waitMs` is how long one answer may take; `stopping` ends a question when the server stops. */
export type StampOptions = { isWanted?: boolean; waitMs?: number; stopping?: AbortSignal }

/** After a failure the authority is left alone for so long. */
const RETRY_MINUTES = 15
const HOUR_MS = 3_600_000
/** Most stamps of checkpoints of one size that are looked through. */
const STAMPS_OF_ONE_LIMIT = 100

/** Stamps, the newest first; of checkpoints of these sizes alone, where they are given. */
export async function listStamps(
  db: Database,
  { limit, sizes }: { limit: number; sizes?: readonly number[] },
): Promise<KeptStamp[]> {
  const all = db
    .selectFrom('checkpoint_stamp as s')
    .innerJoin('checkpoint as c', (join) =>
      join.onRef('c.size', '=', 's.size').onRef('c.key_number', '=', 's.key_number'),
    )
    .select(['s.size', 's.key_number', 'c.note', 's.asked_at', 's.stamped_at', 's.authority'])
    .select(['s.is_trusted', 's.answer'])
    .orderBy('s.size', 'desc')
    .orderBy('s.key_number', 'desc')
    .orderBy('s.asked_at', 'desc')
    .limit(limit)
  const chosen = sizes === undefined ? all : all.where('s.size', 'in', [...sizes, -1])
  return (await chosen.execute()).map((row) => ({
    size: row.size,
    keyNumber: row.key_number,
    note: row.note,
    askedAt: new Date(row.asked_at),
    stampedAt: new Date(row.stamped_at),
    authority: row.authority,
    isTrusted: row.is_trusted,
    answer: row.answer,
  }))
}

/** The newest stamp of this very checkpoint, or null. */
export async function stampOf(
  db: Database,
  { size, keyNumber }: Pick<SignedCheckpoint, 'size' | 'keyNumber'>,
): Promise<KeptStamp | null> {
  const stamps = await listStamps(db, { limit: STAMPS_OF_ONE_LIMIT, sizes: [size] })
  return stamps.find((one) => one.keyNumber === keyNumber) ?? null
}

/**
 * Has the newest checkpoint stamped when it has no stamp and the last one is `everyHours` old, or
 * at once when somebody asks for it (`isWanted`). What fails is noted with its reason and tried
 * again after RETRY_MINUTES; it never throws for the authority.
 */
export async function stampWhenDue(
  db: Database,
  settings: StampSettings,
  now: Date,
  { isWanted = false, ...waiting }: StampOptions = {},
): Promise<void> {
  const last = await lastCheckpoint(db)
  if (last === null || (await stampOf(db, last)) !== null) return
  const before = await deliveryBy(db, 'stamp')
  if (!isWanted && before !== null) {
    const pauseMs =
      before.deliveredAt === null ? RETRY_MINUTES * 60_000 : settings.everyHours * HOUR_MS
    if (now.getTime() - before.triedAt.getTime() < pauseMs) return
  }
  const { size } = last
  if (!(await claimTry(db, 'stamp', before, { size, now }))) return
  await noted(db, 'stamp', { size, now }, async () => {
    const question = stampQuestion(last.note)
    const answer = await postQuestion(settings.url, question, waiting)
    await keepAnswer(db, last, { answer, nonce: question.nonce, settings, now })
    return null
  })
}

async function keepAnswer(
  db: Database,
  { size, keyNumber, note }: SignedCheckpoint,
  came: { answer: Buffer; nonce: Buffer; settings: StampSettings; now: Date },
): Promise<void> {
  const { answer, nonce, settings, now } = came
  const stamp = await checkStampAnswer(answer, { note, nonce }, settings.authorities)
  await db
    .insertInto('checkpoint_stamp')
    .values({
      size,
      key_number: keyNumber,
      asked_at: now,
      stamped_at: stamp.stampedAt,
      authority: stamp.authority,
      is_trusted: settings.authorities !== null,
      answer,
    })
    .execute()
}

/**
 * The stamps that tell most of entries with these indexes under a checkpoint of `size`: for each
 * the earliest that covers it, and the newest; at most `limit`, the oldest first.
 */
export async function stampsCovering(
  db: Database,
  indexes: readonly number[],
  { size, limit }: { size: number; limit: number },
): Promise<KeptStamp[]> {
  const { rows } = await sql<{ size: number | null }>`
    select distinct first.size from unnest(${indexes}::bigint[]) as told(index)
    cross join lateral (
      select s.size from checkpoint_stamp s
      where s.size > told.index and s.size <= ${size} order by s.size limit 1
    ) first
    union select max(size) from checkpoint_stamp where size <= ${size}`.execute(db)
  const sizes = rows.flatMap((row) => (row.size === null ? [] : [row.size]))
  const stamps = await listStamps(db, { limit: sizes.length * STAMPS_OF_ONE_LIMIT + 1, sizes })
  const oneEach = new Map(stamps.map((one) => [one.size, one]))
  const ordered = [...oneEach.values()].sort((one, other) => one.size - other.size)
  if (ordered.length <= limit) return ordered
  // Of many, those spread evenly, the first and the last among them.
  const step = (ordered.length - 1) / (limit - 1)
  const places = Array.from({ length: limit }, (_, nr) => Math.round(nr * step))
  return ordered.filter((_, nr) => places.includes(nr))
}
