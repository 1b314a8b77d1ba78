// The demo's phones: each signs its entries and its batches with a key of its own, then is gone.
import { createHash, generateKeyPairSync, sign } from 'node:crypto'
import type { KeyObject } from 'node:crypto'
import type { Entry } from '#wire/entry.ts'
import { signedEntryText, SIGNATURE_HEADER, signedRequestText } from '#wire/sign.ts'
import { devices, idOf } from './setting.ts'
import type { PersonKey } from './setting.ts'

const pushPath = '/api/entries'

/** A phone of the demo. Its private key lives no longer than the load. */
export type DemoPhone = {
  name: string
  /** The raw P-256 point, as the table `device` and `device.enrolled` have it. */
  publicKey: Buffer
  signEntry: (entry: Entry) => Entry
  /** What to push this body with: the batch's number counts up, and is signed with it. */
  signBatch: (body: string) => RequestInit
}

/** New phones with new keys by their device’s id, one for each person but the office. */
export function makeDemoPhones(): Map<string, DemoPhone> {
  const phones = new Map<string, DemoPhone>()
  for (const key of Object.keys(devices) as PersonKey[]) {
    if (key === 'office') continue
    const deviceId = idOf(`device ${key}`)
    phones.set(deviceId, makePhone(deviceId, devices[key]))
  }
  return phones
}

/** Their public keys as `device.enrolled` takes them, by the device’s id. */
export function publicKeysOf(phones: ReadonlyMap<string, DemoPhone>): Map<string, string> {
  return new Map([...phones].map(([id, { publicKey }]) => [id, publicKey.toString('base64url')]))
}

function makePhone(deviceId: string, name: string): DemoPhone {
  const { publicKey, privateKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' })
  let number = 0
  return {
    name,
    publicKey: rawPoint(publicKey),
    signEntry: (entry) => ({ ...entry, signature: signText(privateKey, signedEntryText(entry)) }),
    signBatch: (body) => {
      number += 1
      const bodyHash = createHash('sha256').update(body).digest('hex')
      const request = { method: 'POST', target: pushPath, deviceId, number, bodyHash }
      const signature = signText(privateKey, signedRequestText(request))
      const headers = {
        'content-type': 'application/json',
        [SIGNATURE_HEADER]: `${deviceId} ${number} ${signature}`,
      }
      return { method: 'POST', headers, body }
    },
  }
}

/** The uncompressed point is the end of the key's DER form (RFC 5480 §2.2). */
const rawPoint = (key: KeyObject) => key.export({ format: 'der', type: 'spki' }).subarray(-65)

function signText(key: KeyObject, text: string): string {
  return sign('sha256', Buffer.from(text, 'utf8'), { key, dsaEncoding: 'ieee-p1363' }).toString(
    'base64url',
  )
}
