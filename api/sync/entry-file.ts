// Takes in the file that a phone without a network wrote for the office: one signed entry a line.
import { BATCH_LIMIT, ENTRY_BYTE_LIMIT } from '#wire/api-entries.ts'
import { Id } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'
import { ingestReceived } from '../journal/ingest.ts'
import { settleFindings } from '../journal/settle.ts'
import { inspectEntries } from '../people/device-entries.ts'
import { deviceState, findDevice } from '../people/devices.ts'
import type { KnownDevice } from '../people/devices.ts'
import { refuse } from '../platform/errors.ts'
import { readBatch } from './received.ts'

/** What became of the lines. */
export type TakenIn = { recorded: number; known: number; setAside: number }

type Line = { number: number; text: string; deviceId: string }

/**
 * Records the entries of an exported file just as if their phone had sent them: each must carry its
 * phone's own signature, one that is known already changes nothing, what came after a revocation is
 * held. Refuses with `bad_file`, naming the line, before anything is written, what is no such file.
 */
export async function takeInFile(db: Database, bytes: Uint8Array): Promise<TakenIn> {
  const lines = readLines(bytes)
  const devices = new Map<string, KnownDevice>()
  for (const { number, deviceId } of lines) {
    if (devices.has(deviceId)) continue
    devices.set(deviceId, await phoneOf(db, number, deviceId))
  }
  const taken: TakenIn = { recorded: 0, known: 0, setAside: 0 }
  for (const [deviceId, device] of devices) {
    const own = lines.filter((line) => line.deviceId === deviceId)
    for (let at = 0; at < own.length; at += BATCH_LIMIT) {
      const texts = own.slice(at, at + BATCH_LIMIT).map(({ text }) => text)
      const batch = readBatch(Buffer.from(`{"entries":[${texts.join(',')}]}`, 'utf8'))
      const received = await inspectEntries(db, device, batch)
      for (const { result } of await ingestReceived(db, deviceId, received)) {
        if (result === 'recorded') taken.recorded += 1
        else if (result === 'already recorded') taken.known += 1
        else taken.setAside += 1
      }
    }
  }
  await settleFindings(db)
  return taken
}

function readLines(bytes: Uint8Array): Line[] {
  let text: string
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return bad('this file is not UTF-8 text')
  }
  const lines = text.split('\n').map((line, nr) => ({ number: nr + 1, text: line }))
  const filled = lines.filter((line) => line.text.trim() !== '')
  if (filled.length === 0) bad('this file holds no entry')
  return filled.map((line) => ({ ...line, deviceId: deviceIn(line) }))
}

function deviceIn({ number, text }: { number: number; text: string }): string {
  if (text.length > ENTRY_BYTE_LIMIT) bad(`line ${number} is longer than an entry can be`)
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    bad(`line ${number} is not whole: part of the file is missing or was changed`)
  }
  const claimed =
    typeof value === 'object' && value !== null && 'device' in value ? value.device : null
  const device = Id.safeParse(claimed)
  return device.success ? device.data : bad(`line ${number} is no entry of a phone`)
}

async function phoneOf(db: Database, number: number, deviceId: string): Promise<KnownDevice> {
  const device = await findDevice(db, { deviceId })
  if (device === null || device.publicKey === null) {
    return bad(`line ${number} comes from a phone that was never enrolled here`)
  }
  if (deviceState(device) !== 'waiting') return device
  return bad(`line ${number} comes from ${device.name}, which waits: compare its fingerprint first`)
}

function bad(what: string): never {
  refuse('bad_file', `${what}; nothing was taken in: have the phone write the file again`)
}
