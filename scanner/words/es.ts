// Every Spanish sentence of the phone: the shell's and each job's, in one list.
import type { EN } from './en.ts'
import type { Translated } from './message.ts'
import { SCAN_ES } from './scan.es.ts'
import { SHELL_ES } from './shell.es.ts'

export const ES: Translated<typeof EN> = { ...SHELL_ES, ...SCAN_ES }
