// The phone's inside alone in a page, without screens, for tests that drive it in a real browser.
import { takeEnrolCode } from '../../../scanner/keys/enrol-fragment.ts'
import { openPhone } from '../../../scanner/live-phone.ts'
import { watchUpdates } from '../../../scanner/worker/updates.ts'

const enrolCode = takeEnrolCode()
const updates = watchUpdates()
void openPhone().then((phone) => {
  Object.assign(globalThis, { phone, updates, enrolCode, appVersion: 'first' })
})
