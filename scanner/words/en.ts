// Every English sentence of the phone: the shell's and each job's, in one list.
import { JOBS_EN } from '../jobs/words.en.ts'
import { ENTRIES_EN } from './entries.en.ts'
import { LOOK_EN } from './look.en.ts'
import { SCAN_EN } from './scan.en.ts'
import { SHELL_EN } from './shell.en.ts'
import { START_EN } from './start.en.ts'
import { STATUS_EN } from './status.en.ts'

export const EN = {
  ...SHELL_EN,
  ...SCAN_EN,
  ...START_EN,
  ...STATUS_EN,
  ...LOOK_EN,
  ...ENTRIES_EN,
  ...JOBS_EN,
} as const
