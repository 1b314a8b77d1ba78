// The same page as a newer version of the app.
import { openPhone } from '../../../scanner/live-phone.ts'
import { watchUpdates } from '../../../scanner/worker/updates.ts'

const updates = watchUpdates()
void openPhone().then((phone) => {
  Object.assign(globalThis, { phone, updates, appVersion: 'newer' })
})
