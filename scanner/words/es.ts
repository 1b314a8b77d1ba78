// Every Spanish sentence of the phone: the shell's and each job's, in one list.
import { JOBS_ES } from '../jobs/words.es.ts'
import type { EN } from './en.ts'
import { ENTRIES_ES } from './entries.es.ts'
import { LOOK_ES } from './look.es.ts'
import { SCAN_ES } from './scan.es.ts'
import { SHELL_ES } from './shell.es.ts'
import { START_ES } from './start.es.ts'
import { STATUS_ES } from './status.es.ts'
import type { Translated } from './message.ts'

export const ES: Translated<typeof EN> = {
  ...SHELL_ES,
  ...SCAN_ES,
  ...START_ES,
  ...STATUS_ES,
  ...LOOK_ES,
  ...ENTRIES_ES,
  ...JOBS_ES,
}
