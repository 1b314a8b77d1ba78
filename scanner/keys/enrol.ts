// Brings this phone's key to the server under the code that the office shows.
import { ENROL_CODE_LENGTH, plainEnrolCode } from '#wire/api-enrol.ts'
import { NIL_ID } from '#wire/basics.ts'
import { strictly } from '../queue/store.ts'
import type { PendingKey, Store, StoredIdentity } from '../queue/store.ts'
import { meaningOf, parsed } from '../sync/answer.ts'
import type { Meaning } from '../sync/answer.ts'
import type { Connection } from '../sync/connection.ts'
import { OwnState } from '../sync/own-state.ts'
import { fingerprintOf, newKeyPair } from './signing.ts'

const pendingKey = 'pending key'
const text = new TextEncoder()

/** Why a code did not bring the phone in. */
export type EnrolTrouble = 'wrong code' | 'no network' | 'server trouble' | 'too many tries'

/**
 * Enrols under `code`. The key is stored before it is sent: when the answer is lost, the same code
 * and key bring the same device back. A phone that was enrolled before gets a new identity; the
 * entries of the old one are still sent under its own key.
 */
export async function enrolPhone(
  store: Store,
  connection: Connection,
  code: string,
): Promise<StoredIdentity | EnrolTrouble> {
  const plain = plainEnrolCode(code)
  if (plain.length !== ENROL_CODE_LENGTH) return 'wrong code'
  const key = await keyFor(store, plain)
  const signer = { deviceId: NIL_ID, privateKey: key.privateKey }
  const body = text.encode(JSON.stringify({ code: plain, publicKey: key.publicKey }))
  const request = { method: 'POST', target: '/api/enrol', body } as const
  const arrived = await connection.ask(signer, request)
  const meaning = meaningOf(arrived, 201)
  if (meaning.means !== 'done') return troubleOf(meaning, arrived.status)
  const told = OwnState.safeParse(parsed(arrived.text))
  if (!told.success) return 'server trouble'
  const { deviceId, name, state } = told.data
  const { publicKey, privateKey } = key
  const fingerprint = await fingerprintOf(publicKey)
  const identity = { deviceId, deviceName: name, fingerprint, state, publicKey, privateKey }
  const trx = strictly(store)
  const notes = trx.objectStore('note')
  await Promise.all([
    trx.objectStore('identity').put(identity),
    notes.put(deviceId, 'current device'),
    notes.delete(pendingKey),
  ])
  await trx.done
  return identity
}

async function keyFor(store: Store, code: string): Promise<PendingKey> {
  const pending = (await store.get('note', pendingKey)) as PendingKey | undefined
  if (pending?.code === code) return pending
  const fresh = { code, ...(await newKeyPair()) }
  const trx = strictly(store)
  await trx.objectStore('note').put(fresh, pendingKey)
  await trx.done
  return fresh
}

function troubleOf(meaning: Meaning, status: number): EnrolTrouble {
  if (meaning.means === 'no network') return 'no network'
  if (status === 429) return 'too many tries'
  const isWrong = meaning.means === 'not let in' && meaning.code === 'wrong_code'
  return isWrong ? 'wrong code' : 'server trouble'
}
