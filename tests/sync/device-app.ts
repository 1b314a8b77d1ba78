// The whole app on a fresh database with enrolled devices, for tests of the machine API.
import { newId } from '../../api/platform/clock.ts'
import { hashToken, newToken } from '../../api/platform/token.ts'
import type { PushAnswerShape } from '#wire/api-entries.ts'
import type { Entry } from '#wire/entry.ts'
import { EntryWriter, idOf, seeded } from '../sim/entry-writer.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

export type Device = { deviceId: string; token: string }

export type DeviceApp = OfficeApp & {
  device: Device
  /** Enrols a device under an id of its own, or the one given. */
  enrol: (deviceId?: string) => Promise<Device>
  /** Sends a body as a device would; a value is sent as JSON, text and bytes as they are. */
  send: (body: unknown, options?: SendOptions) => Promise<Response>
  /** Pushes entries and gives the answer, which must be 200. */
  push: (entries: unknown[], by?: Device) => Promise<PushAnswerShape>
  get: (path: string, by?: Device | null, accept?: string) => Promise<Response>
}

export type SendOptions = { by?: Device | null; type?: string | null; headers?: HeadersInit }

export async function deviceApp(now?: Date): Promise<DeviceApp> {
  const office = await officeApp(now)
  const enrol = async (deviceId = newId()): Promise<Device> => {
    const token = newToken()
    await office.services.db
      .insertInto('device')
      .values({ device_id: deviceId, name: 'Field phone', token_hash: hashToken(token) })
      .execute()
    return { deviceId, token }
  }
  const device = await enrol()
  const send = async (body: unknown, { by = device, type, headers }: SendOptions = {}) => {
    const all = new Headers(headers)
    if (by !== null) all.set('authorization', `Bearer ${by.token}`)
    if (type !== null) all.set('content-type', type ?? 'application/json')
    const isRaw = typeof body === 'string' || body instanceof Uint8Array
    return office.app.request('/api/entries', {
      method: 'POST',
      body: isRaw ? (body as string) : JSON.stringify(body),
      headers: all,
    })
  }
  const push = async (entries: unknown[], by?: Device) => {
    const response = await send({ entries }, by === undefined ? {} : { by })
    if (response.status !== 200) throw new Error(`${response.status} ${await response.text()}`)
    return (await response.json()) as PushAnswerShape
  }
  const get = async (path: string, by: Device | null = device, accept = 'application/json') => {
    const headers = new Headers({ accept })
    if (by !== null) headers.set('authorization', `Bearer ${by.token}`)
    return office.app.request(path, { headers })
  }
  return { ...office, device, enrol, send, push, get }
}

let serial = 0
const numbers = new Map<string, number>()
/** A well-formed entry of `device`, another one each time, numbered without a gap and made now. */
export function blockEntry(device: Device): Entry<'block.registered'> {
  serial += 1
  const deviceCounter = (numbers.get(device.deviceId) ?? 0) + 1
  numbers.set(device.deviceId, deviceCounter)
  const now = new Date().toISOString()
  const writer = new EntryWriter(seeded(serial), now, `push ${serial}`)
  const body = { blockId: idOf(`block ${serial}`), name: 'Long', note: '' }
  const by = { device: device.deviceId, minutesLater: 0 }
  return { ...writer.add('block.registered', body, by), deviceCounter }
}
