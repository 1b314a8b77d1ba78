/** @jsxImportSource preact */
// Checks take along a row: one tap a vine, vines without a graft passed over.
import type { Phone } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { recall, WORKING_DAY_MS } from '../remember.ts'
import { rowOf } from '../row-picker.tsx'
import { RowSession } from '../row-session.ts'
import { WalkJob } from '../row-walk.tsx'
import { TakeRow } from './take-row.tsx'

const SESSION_KEY = 'take.session'

function TakeScreen(props: JobProps) {
  return (
    <WalkJob {...props} sessionKey={SESSION_KEY}>
      {(walk) => <TakeRow walk={walk} />}
    </WalkJob>
  )
}

export const takeJob: Job = {
  id: 'take',
  title: 'take.title',
  order: 20,
  withoutScan: true,
  offeredFor: (found, phone: Phone) => rowOf(found, phone) !== null,
  leftOpen: async () => (await recall(SESSION_KEY, RowSession, WORKING_DAY_MS)) !== null,
  Screen: TakeScreen,
}
