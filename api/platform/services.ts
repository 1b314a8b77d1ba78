// What every page and route is given: the database, the clock, the desk, and who is asking.
import type { Database } from '../../db/connect.ts'
import type { Clock } from './clock.ts'
import type { Doors } from './doors.ts'
import type { ProofSettings } from './proof-settings.ts'

/** What somebody may do; rights per role are listed in api/people/rights.ts. */
export type RoleName = 'administrator' | 'office' | 'lead hand' | 'crew' | 'auditor'

/** The person whose session a request belongs to. */
export type CurrentPerson = {
  personId: string
  name: string
  role: RoleName
  /** The session of this browser; absent where a request needs none. */
  sessionId?: string
  /** When the password was last given; some changes need it to be fresh. */
  provenAt?: Date | null
  /** An auditor's link, when that is what opened the record. */
  auditLinkId?: string
}

/** Handed to the app when it starts. */
export type Services = {
  db: Database
  clock: Clock
  /** The id of the device that entries made at the desk are written as. */
  deskDeviceId: string
  /** Where the keys that sign the journal lie; without it nothing is signed. */
  proof?: ProofSettings
}

/** Hono's view of the same, request by request. */
export type Env = {
  Variables: {
    services: Services
    doors: Doors
    person: CurrentPerson
    /** The code of what was refused, for the log. */
    refusal?: string
  }
}
