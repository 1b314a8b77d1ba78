// Every job that the phone can do.
import type { Job } from '../screens/job.ts'

export const JOBS: readonly Job[] = []
