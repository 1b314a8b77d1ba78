// What somebody may do, and which role may do it: two closed lists and the table between them.
import type { RoleName } from '../platform/services.ts'

/** Every role; each person has one. */
export const roles = ['administrator', 'office', 'lead hand', 'crew', 'auditor'] as const

/** Roles that can be given to a person who works here; an auditor comes by a link. */
export const workingRoles = ['administrator', 'office', 'lead hand', 'crew'] as const

/** What each role is for, as the office reads it. */
export const roleWords: Record<(typeof workingRoles)[number], string> = {
  administrator: 'everything, and people and their roles',
  office: 'everything but people and their roles',
  'lead hand': 'records wood, grafts and checks; reads all; places holds',
  crew: 'reads the day’s work; records by phone',
}

/** Every right with the roles that have it. */
export const rights = {
  'see the work': ['administrator', 'office', 'lead hand', 'crew'],
  'see the record': ['administrator', 'office', 'lead hand'],
  'record work': ['administrator', 'office', 'lead hand'],
  'print tags': ['administrator', 'office', 'lead hand'],
  'place holds': ['administrator', 'office', 'lead hand'],
  'lift holds': ['administrator', 'office'],
  'answer findings': ['administrator', 'office'],
  'withdraw entries': ['administrator', 'office'],
  'keep the register': ['administrator', 'office'],
  'enrol devices': ['administrator', 'office'],
  'open the record to auditors': ['administrator', 'office'],
  'manage people': ['administrator'],
  'set up': ['administrator'],
  'see what was opened': ['auditor'],
  'end the own session': ['administrator', 'office', 'lead hand', 'crew', 'auditor'],
  'keep the own sign-in': ['administrator', 'office', 'lead hand', 'crew'],
} as const satisfies Record<string, readonly RoleName[]>

export type Right = keyof typeof rights

/** May a person of this role do this? */
export function may(role: RoleName, right: Right): boolean {
  const holders: readonly RoleName[] = rights[right]
  return holders.includes(role)
}
