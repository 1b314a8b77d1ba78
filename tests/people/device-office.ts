// The whole app with what tests of devices need: codes, enrolled phones, the desk.
import { expect } from 'vitest'
import { confirmDevice } from '../../api/people/devices.ts'
import { beginEnrolment } from '../../api/people/enrolment.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { DeviceClient } from './device-client.ts'

export type DeviceOffice = OfficeApp & {
  desk: { deviceId: string; personId: string; now: Date }
  /** A code as the office shows it. */
  code: (deviceName?: string, at?: Date) => Promise<{ enrolmentId: string; code: string }>
  /** A phone that was enrolled and confirmed. */
  enrolled: () => Promise<DeviceClient>
  journalCount: () => Promise<number>
}

export async function deviceOffice(now: Date): Promise<DeviceOffice> {
  const office = await officeApp(now)
  const { db, deskDeviceId } = office.services
  const { personId } = office.person
  const desk = { deviceId: deskDeviceId, personId, now }
  const code = (deviceName = 'Phone of row crew 1', at = now) =>
    beginEnrolment(db, { deviceName, madeBy: personId, now: at })
  const enrolled = async () => {
    const phone = await DeviceClient.make(office.app)
    const response = await phone.enrol((await code()).code)
    expect(response.status).toBe(201)
    await confirmDevice(db, desk, phone.deviceId)
    return phone
  }
  const journalCount = async () => {
    const count = db.selectFrom('entry').select(({ fn }) => fn.countAll<number>().as('n'))
    return (await count.executeTakeFirstOrThrow()).n
  }
  return { ...office, desk, code, enrolled, journalCount }
}

/** The code of a problem document. */
export const codeOf = async (response: Response) =>
  ((await response.json()) as { code: string }).code
