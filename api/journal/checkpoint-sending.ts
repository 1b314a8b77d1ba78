// Sends checkpoints where the nursery keeps them: a folder, a second machine, and by mail.
import { mkdir, open, rename } from 'node:fs/promises'
import path from 'node:path'
import type { Database } from '../../db/connect.ts'
import type { MailSettings } from '../platform/proof-settings.ts'
import { claimTry, listDeliveries, noted } from './checkpoint-delivery.ts'
import type { Delivery, DeliveryWay } from './checkpoint-delivery.ts'
import { checkpointFileName, keysText, stampFileName } from './checkpoint-files.ts'
import { knownKeys } from './checkpoint-keys.ts'
import { mailCheckpoint, mailSecrets } from './checkpoint-mail.ts'
import { lastCheckpoint } from './checkpoints.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { listStamps, stampOf } from './stamps.ts'

/** Where checkpoints are sent besides; null: nowhere. */
export type SendingSettings = {
  folder: string | null
  url: string | null
  mail: MailSettings | null
}

/** `stopping` ends what is under way when the server stops. */
export type SendingOptions = { isWanted?: boolean; stopping?: AbortSignal }

const POST_WAIT_MS = 10_000
/** A mail server that refused is left alone for so long, for some lock whoever tries too often. */
const MAIL_RETRY_MINUTES = 15
const HOUR_MS = 3_600_000

/**
 * Sends the newest checkpoint on every way that does not have it yet. A way that fails is noted
 * with its reason and tried again at the next call; the newest checkpoint covers all before it.
 * A mail is sent when the last one is `everyHours` old; one that failed is tried again after
 * MAIL_RETRY_MINUTES. With `isWanted`, when somebody asks for it, all ways get it now and again.
 */
export async function sendCheckpoints(
  db: Database,
  settings: SendingSettings,
  now: Date,
  { isWanted = false, stopping }: SendingOptions = {},
): Promise<void> {
  const last = await lastCheckpoint(db)
  if (last === null) return
  const { size } = last
  const tries = await listDeliveries(db)
  const before = (way: DeliveryWay) => tries.find((one) => one.way === way) ?? null
  const isMissing = (tried: Delivery | null) =>
    isWanted || tried === null || tried.deliveredAt === null || tried.size < size
  const { folder, url, mail } = settings
  if (folder !== null && isMissing(before('folder'))) {
    await noted(db, 'folder', { size, now }, () => sendToFolder(db, folder, last))
  }
  if (url !== null && isMissing(before('post'))) {
    await noted(db, 'post', { size, now, secrets: secretsIn(url) }, () => post(url, last, stopping))
  }
  const mailed = before('mail')
  if (mail === null || !isMissing(mailed)) return
  if (!isWanted && now.getTime() < nextMailMs(mailed, mail)) return
  if (!(await claimTry(db, 'mail', mailed, { size, now }))) return
  await noted(db, 'mail', { size, now, secrets: mailSecrets(mail) }, async () => {
    const [keys, stamp] = [await knownKeys(db), await stampOf(db, last)]
    return mailCheckpoint(mail, { checkpoint: last, keys, stamp }, stopping)
  })
}

/** When the next mail may go out at the soonest, unless one is asked for; in ms of the epoch. */
export function nextMailMs(mailed: Delivery | null, { everyHours }: MailSettings): number {
  if (mailed === null) return 0
  const pauseMs = mailed.deliveredAt === null ? MAIL_RETRY_MINUTES * 60_000 : everyHours * HOUR_MS
  return mailed.triedAt.getTime() + pauseMs
}

/** The newest stamp goes there too, with the note that it stamps, which may be an earlier one. */
async function sendToFolder(
  db: Database,
  folder: string,
  checkpoint: SignedCheckpoint,
): Promise<null> {
  await mkdir(folder, { recursive: true })
  await write(path.join(folder, 'keys.txt'), keysText(await knownKeys(db)))
  await write(path.join(folder, checkpointFileName(checkpoint)), checkpoint.note)
  const [stamp] = await listStamps(db, { limit: 1 })
  if (stamp === undefined) return null
  await write(path.join(folder, checkpointFileName(stamp)), stamp.note)
  await write(path.join(folder, stampFileName(stamp)), stamp.answer)
  return null
}

/** A reader never sees half a file. */
async function write(name: string, content: string | Buffer): Promise<void> {
  const unfinished = `${name}.unfinished`
  const file = await open(unfinished, 'w', 0o644)
  try {
    await file.writeFile(content)
    await file.sync()
  } finally {
    await file.close()
  }
  await rename(unfinished, name)
}

async function post(
  url: string,
  { note }: SignedCheckpoint,
  stopping: AbortSignal | undefined,
): Promise<null> {
  const late = AbortSignal.timeout(POST_WAIT_MS)
  const { address, authorization } = withoutLogin(url)
  const response = await fetch(address, {
    method: 'POST',
    headers: { 'content-type': 'text/plain; charset=utf-8', ...authorization },
    body: note,
    redirect: 'error',
    signal: stopping === undefined ? late : AbortSignal.any([late, stopping]),
  })
  await response.body?.cancel()
  if (!response.ok) throw new Error(`the other machine answered ${response.status}`)
  return null
}

/** Name and password out of an address, for a request that must not hold them there (RFC 7617). */
function withoutLogin(url: string): { address: string; authorization: Record<string, string> } {
  const address = new URL(url)
  const login = [address.username, address.password].map(decodeURIComponent).join(':')
  address.username = ''
  address.password = ''
  if (login === ':') return { address: address.href, authorization: {} }
  const basic = Buffer.from(login, 'utf8').toString('base64')
  return { address: address.href, authorization: { authorization: `Basic ${basic}` } }
}

/** What must not be written down of the address, in the forms in which it may turn up. */
function secretsIn(url: string): string[] {
  const { password } = new URL(url)
  return password === '' ? [] : [url, decodeURIComponent(password), password]
}
