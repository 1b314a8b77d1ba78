// Every job that the phone can do.
import type { Job } from '../screens/job.ts'
import { moistureJob } from './checks/moisture-job.tsx'
import { viabilityJob } from './checks/viability-job.tsx'
import { cutJob } from './cut/cut-job.tsx'
import { graftJob } from './graft/graft-job.tsx'
import { skipJob } from './skip/skip-job.tsx'
import { takeJob } from './take/take-job.tsx'
import { tieJob } from './tie/tie-job.tsx'
import { tonightJob } from './tonight/tonight-job.tsx'
import { disinfectJob, takeKnifeJob } from './tool/tool-job.tsx'
import { acceptJob } from './wood/accept-job.tsx'
import { emptyJob, fillJob } from './wood/bath-jobs.tsx'
import { discardJob } from './wood/discard-job.tsx'
import { giveAgainJob, giveJob } from './wood/give-job.tsx'
import { bathInJob, bathOutJob, moveJob } from './wood/store-jobs.tsx'

export const JOBS: readonly Job[] = [
  acceptJob,
  graftJob,
  cutJob,
  takeJob,
  giveJob,
  moveJob,
  bathOutJob,
  bathInJob,
  tonightJob,
  fillJob,
  emptyJob,
  tieJob,
  skipJob,
  takeKnifeJob,
  disinfectJob,
  viabilityJob,
  moistureJob,
  discardJob,
  giveAgainJob,
]
