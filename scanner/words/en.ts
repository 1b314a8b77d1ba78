// Every English sentence of the phone: the shell's and each job's, in one list.
import { SCAN_EN } from './scan.en.ts'
import { SHELL_EN } from './shell.en.ts'

export const EN = { ...SHELL_EN, ...SCAN_EN } as const
