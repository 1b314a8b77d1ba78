// Sends checkpoints where the nursery keeps them: a folder, and a second machine over HTTP.
import { mkdir, open, rename } from 'node:fs/promises'
import path from 'node:path'
import type { Database } from '../../db/connect.ts'
import { knownKeys } from './checkpoint-keys.ts'
import { lastCheckpoint } from './checkpoints.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { keyText } from './note.ts'

/** Where checkpoints are sent besides; null: nowhere. */
export type SendingSettings = { folder: string | null; url: string | null }

/** How far a way of sending has come. */
export type Delivery = {
  way: 'folder' | 'post'
  size: number
  triedAt: Date
  deliveredAt: Date | null
  problem: string | null
}

const POST_WAIT_MS = 10_000

/**
 * Sends the newest checkpoint on every way that does not have it yet. A way that fails is noted
 * with its reason and tried again at the next call; the newest checkpoint covers all before it.
 */
export async function sendCheckpoints(
  db: Database,
  settings: SendingSettings,
  now: Date,
): Promise<void> {
  const last = await lastCheckpoint(db)
  if (last === null) return
  const delivered = new Map((await listDeliveries(db)).map((line) => [line.way, line]))
  const { folder, url } = settings
  const isDue = (way: Delivery['way']) => {
    const before = delivered.get(way)
    return before === undefined || before.deliveredAt === null || before.size < last.size
  }
  if (folder !== null && isDue('folder')) {
    await noted(db, 'folder', last, now, () => sendToFolder(db, folder, last))
  }
  if (url !== null && isDue('post')) await noted(db, 'post', last, now, () => post(url, last))
}

/** What was sent last, or not. */
export async function listDeliveries(db: Database): Promise<Delivery[]> {
  const rows = await db.selectFrom('checkpoint_delivery').selectAll().orderBy('way').execute()
  return rows.map((row) => ({
    way: row.way === 'post' ? 'post' : 'folder',
    size: row.size,
    triedAt: new Date(row.tried_at),
    deliveredAt: row.delivered_at === null ? null : new Date(row.delivered_at),
    problem: row.problem,
  }))
}

async function noted(
  db: Database,
  way: Delivery['way'],
  { size }: SignedCheckpoint,
  now: Date,
  send: () => Promise<void>,
): Promise<void> {
  let problem: string | null = null
  try {
    await send()
  } catch (error) {
    problem = wordsOf(error).slice(0, 500)
  }
  const line = {
    size,
    tried_at: now,
    delivered_at: problem === null ? now : null,
    problem,
  }
  await db
    .insertInto('checkpoint_delivery')
    .values({ way, ...line })
    .onConflict((conflict) => conflict.column('way').doUpdateSet(line))
    .execute()
}

/** The name of a checkpoint's file: sorts by size, and tells the key. */
export function checkpointFileName({ size, keyNumber }: SignedCheckpoint): string {
  return `checkpoint-${String(size).padStart(12, '0')}-key${keyNumber}.txt`
}

async function sendToFolder(
  db: Database,
  folder: string,
  checkpoint: SignedCheckpoint,
): Promise<void> {
  await mkdir(folder, { recursive: true })
  const keys = await knownKeys(db)
  const lines = keys.map((key) => `${keyText(key)}\n${key.succession ?? ''}`)
  await write(path.join(folder, 'keys.txt'), lines.join('\n'))
  await write(path.join(folder, checkpointFileName(checkpoint)), checkpoint.note)
}

/** A reader never sees half a file. */
async function write(name: string, text: string): Promise<void> {
  const unfinished = `${name}.unfinished`
  const file = await open(unfinished, 'w', 0o644)
  try {
    await file.writeFile(text)
    await file.sync()
  } finally {
    await file.close()
  }
  await rename(unfinished, name)
}

async function post(url: string, { note }: SignedCheckpoint): Promise<void> {
  const response = await fetch(url, {
    method: 'POST',
    headers: { 'content-type': 'text/plain; charset=utf-8' },
    body: note,
    redirect: 'error',
    signal: AbortSignal.timeout(POST_WAIT_MS),
  })
  await response.body?.cancel()
  if (!response.ok) throw new Error(`the other machine answered ${response.status}`)
}

function wordsOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error)
  const cause = error.cause instanceof Error ? `: ${error.cause.message}` : ''
  return `${error.message}${cause}`
}
