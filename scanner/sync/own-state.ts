// Asks the server how this phone stands: does it wait for the office, may it write, was it revoked?
import { z } from 'zod'
import { strictly } from '../queue/store.ts'
import type { Store, StoredIdentity } from '../queue/store.ts'
import { meaningOf, parsed } from './answer.ts'
import type { Meaning } from './answer.ts'
import type { Connection } from './connection.ts'

/** What we need of `DeviceState` (api/wire/api-enrol.ts). */
export const OwnState = z.object({
  deviceId: z.string(),
  name: z.string(),
  state: z.enum(['waiting', 'active', 'revoked']),
  lastNumber: z.int().min(0),
})

/** Where the highest batch number of a device stands. */
export const batchKey = (deviceId: string) => `batch ${deviceId}`

/** Asks and notes the answer: the state, the name, and a batch number that is not below it. */
export async function askOwnState(
  store: Store,
  connection: Connection,
  identity: StoredIdentity,
): Promise<Meaning> {
  const arrived = await connection.ask(identity, { method: 'GET', target: '/api/device' })
  const meaning = meaningOf(arrived)
  if (meaning.means !== 'done') return meaning
  const told = OwnState.safeParse(parsed(arrived.text))
  if (!told.success || told.data.deviceId !== identity.deviceId) {
    return { means: 'server trouble', waitSeconds: null }
  }
  const { name, state, lastNumber } = told.data
  const trx = strictly(store)
  const numbers = trx.objectStore('number')
  const key = batchKey(identity.deviceId)
  const highest = Math.max(lastNumber, (await numbers.get(key)) ?? 0)
  await Promise.all([
    trx.objectStore('identity').put({ ...identity, deviceName: name, state }),
    numbers.put(highest, key),
  ])
  await trx.done
  return meaning
}

/** The next batch number, given out once, whichever tab asks. */
export async function nextBatchNumber(store: Store, deviceId: string): Promise<number> {
  const trx = strictly(store)
  const numbers = trx.objectStore('number')
  const number = ((await numbers.get(batchKey(deviceId))) ?? 0) + 1
  await numbers.put(number, batchKey(deviceId))
  await trx.done
  return number
}
