// Devices: the list of phones, machines and the desk.
import type { Context } from 'hono'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { listDevices } from '../../people/devices.ts'
import type { DeviceLine } from '../../people/devices.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { PeopleMenu } from './menu.tsx'

/** Shows all devices. */
export async function showDevices(c: Context<Env>) {
  const { db } = c.get('services')
  const [devices, zone] = await Promise.all([listDevices(db), nurseryTimeZone(db)])
  return show(
    c,
    <Page
      c={c}
      title="Devices"
      lead="A device writes only as itself: a phone by its own key, a machine by a token."
      actions={
        <>
          <a class="button main" href="/people/devices/new">
            Enrol a phone
          </a>
          <a class="button" href="/people/devices/machine">
            Make a machine known
          </a>
          <a class="button" href="/people/devices/file">
            Take in a phone’s file
          </a>
        </>
      }
    >
      <PeopleMenu at="/people/devices" />
      <Table
        caption={`${devices.length} devices`}
        head={['Name', 'Kind', 'State', 'Since', 'Last heard of', 'Held entries']}
        numbers={[5]}
      >
        {devices.map((device) => (
          <tr>
            <td>
              <a href={`/people/devices/${device.device_id}`}>{device.name}</a>
            </td>
            <td>{device.kind}</td>
            <td>{stateWords(device)}</td>
            <td>{shownTime(device.created_at, zone)}</td>
            <td>{device.last_seen_at === null ? '' : shownTime(device.last_seen_at, zone)}</td>
            <td class="number">{device.held === 0 ? '' : device.held}</td>
          </tr>
        ))}
      </Table>
    </Page>,
  )
}

/** How a device stands, in a word or two. */
export function stateWords(device: DeviceLine): string {
  if (device.revoked_at !== null) return 'revoked'
  const waits = device.kind === 'phone' && device.confirmed_at === null
  return waits ? 'waits: compare the fingerprint' : 'in use'
}
