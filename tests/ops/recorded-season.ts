// A fresh database in which a random season was recorded, one device of it with a key that signs.
import { generateKeyPairSync, sign } from 'node:crypto'
import { Buffer } from 'node:buffer'
import { ingest } from '../../api/journal/ingest.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import type { Entry } from '#wire/entry.ts'
import { signedEntryText } from '#wire/sign.ts'
import type { Database } from '../../db/connect.ts'
import { EntryWriter, idOf, randomSeason, seeded } from '../sim/season.ts'

/** Entries of a phone that signs, after the entry that tells its key. */
export function signedEntries(label: string): Entry[] {
  const pair = generateKeyPairSync('ec', { namedCurve: 'P-256' })
  const jwk = pair.publicKey.export({ format: 'jwk' })
  const part = (text: string | undefined) => Buffer.from(text ?? '', 'base64url')
  const raw = Buffer.concat([Buffer.of(0x04), part(jwk.x), part(jwk.y)])
  const writer = new EntryWriter(seeded(5), '2027-02-10T06:30:00Z', label)
  const phone = idOf(`${label} phone`)
  const enrolled = writer.add('device.enrolled', {
    deviceId: phone,
    publicKey: raw.toString('base64url'),
  })
  const blocks = ['Gravel', 'Clay', 'Chalk'].map((name) => {
    const body = { blockId: idOf(`${label} ${name}`), name, note: '' }
    return writer.add('block.registered', body, { device: phone })
  })
  const key = { key: pair.privateKey, dsaEncoding: 'ieee-p1363' } as const
  const signed = blocks.map((entry) => {
    const text = Buffer.from(signedEntryText(entry), 'utf8')
    return { ...entry, signature: sign('sha256', text, key).toString('base64url') }
  })
  return [enrolled, ...signed]
}

/** Records entries device by device, as their devices would send them. */
export async function recordAll(db: Database, entries: readonly Entry[], step = 300) {
  for (const device of new Set(entries.map((entry) => entry.device))) {
    const own = entries.filter((entry) => entry.device === device)
    for (let at = 0; at < own.length; at += step) {
      await ingest(db, device, own.slice(at, at + step))
    }
  }
  await settleFindings(db)
}

/** Records a season of about `size` entries, withdrawals and four signed entries among them. */
export async function recordSeason(db: Database, seed: number, size: number): Promise<Entry[]> {
  const entries = [...signedEntries(`signed ${seed}`), ...randomSeason(seed, size)]
  await recordAll(db, entries)
  const odd = { kind: 'no.such_kind', id: 'x', note: 'kept although nobody can read it' }
  await ingest(db, idOf('a phone of another make'), [odd])
  return entries
}
