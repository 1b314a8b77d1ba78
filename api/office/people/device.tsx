// One device: comparing its fingerprint, revoking it, and the entries that came after that.
import type { Context } from 'hono'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { confirmDevice, readDevice, revokeDevice } from '../../people/devices.ts'
import type { DeviceLine } from '../../people/devices.ts'
import { listHeld } from '../../people/held-entries.ts'
import { fingerprintOf } from '../../people/keys.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FormProblems, NoteField, show, submit, TickField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { typedReason } from '../typed-text.ts'
import { stateWords } from './devices.tsx'
import { HeldEntries } from './held.tsx'

/** Shows the device. */
export async function showDevice(c: Context<Env>) {
  return show(c, await devicePage(c, freshForm()))
}

/** Lets the phone write, once the fingerprints were compared. */
export function saveConfirmed(c: Context<Env>) {
  return submit(c, {
    page: (form) => devicePage(c, form),
    save: async (form) => {
      const deviceId = pathId(c, 'deviceId', 'device')
      if (!form.all('same').includes('yes')) {
        form.problem('same', 'compare the two fingerprints first, then tick that they agree')
      }
      form.check()
      await confirmDevice(c.get('services').db, deskOf(c), deviceId)
      return `/people/devices/${deviceId}`
    },
  })
}

/** Revokes the device at once. */
export function saveRevoked(c: Context<Env>) {
  return submit(c, {
    page: (form) => devicePage(c, form),
    save: async (form) => {
      const deviceId = pathId(c, 'deviceId', 'device')
      const reason = typedReason(form, 'reason', 'the reason')
      form.check()
      await revokeDevice(c.get('services').db, deskOf(c), deviceId, reason)
      return `/people/devices/${deviceId}`
    },
  })
}

/** The whole page; also shown again when a form on it is refused. */
export async function devicePage(c: Context<Env>, form: FormState) {
  const { db, deskDeviceId } = c.get('services')
  const deviceId = pathId(c, 'deviceId', 'device')
  const device = found(await readDevice(db, deviceId), 'device')
  const zone = await nurseryTimeZone(db)
  const isRevoked = device.revoked_at !== null
  const waits = !isRevoked && device.public_key !== null && device.confirmed_at === null
  const held = isRevoked ? await listHeld(db, deviceId) : []
  return (
    <Page c={c} title={device.name} lead={`A ${device.kind}; ${stateWords(device)}.`}>
      <Saved c={c} />
      <FormProblems form={form} />
      {waits ? <Compare device={device} form={form} /> : <Facts device={device} zone={zone} />}
      {held.length === 0 ? null : (
        <HeldEntries device={device} held={held} form={form} zone={zone} />
      )}
      {isRevoked || deviceId === deskDeviceId ? null : <Revoke device={device} form={form} />}
      <p>
        <a href="/people/devices">All devices</a>
      </p>
    </Page>
  )
}

function Compare({ device, form }: { device: DeviceLine; form: FormState }) {
  return (
    <form method="post" action={`/people/devices/${device.device_id}/confirm`}>
      <h2>Compare</h2>
      <p>
        The phone shows a fingerprint. Read it aloud: it must be this one, to the last character.
      </p>
      <p class="code">{device.public_key === null ? '' : fingerprintOf(device.public_key)}</p>
      <TickField
        form={form}
        name="same"
        label="Fingerprint"
        options={[{ value: 'yes', label: 'the phone in my hand shows the same' }]}
      />
      <button class="main">Let it write</button>
    </form>
  )
}

function Facts({ device, zone }: { device: DeviceLine; zone: string }) {
  const facts: [string, string][] = [['Id', device.device_id]]
  if (device.public_key !== null) facts.push(['Fingerprint', fingerprintOf(device.public_key)])
  if (device.confirmed_at !== null) {
    facts.push(['In use since', shownTime(device.confirmed_at, zone)])
  }
  if (device.last_seen_at !== null) {
    facts.push(['Last heard of', shownTime(device.last_seen_at, zone)])
  }
  if (device.revoked_at !== null) facts.push(['Revoked', shownTime(device.revoked_at, zone)])
  if (device.kind === 'machine') {
    facts.push(['Reads the record', device.may_read ? 'yes' : 'no'])
    facts.push(['Writes', device.write_kinds?.join(', ') ?? 'every kind but those of the office'])
  }
  return (
    <dl class="facts">
      {facts.map(([name, value]) => (
        <>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </>
      ))}
    </dl>
  )
}

function Revoke({ device, form }: { device: DeviceLine; form: FormState }) {
  return (
    <form method="post" action={`/people/devices/${device.device_id}/revoke`}>
      <h2>Revoke</h2>
      <p>
        From that moment it may neither write nor read. What it sends later is kept here, for you to
        judge.
      </p>
      <NoteField
        form={form}
        name="reason"
        label="Reason"
        hint="like lost in the lower block, or the fingerprint differs"
        required
      />
      <button>Revoke it</button>
    </form>
  )
}
