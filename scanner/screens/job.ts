// What a job is to the shell: when it is offered, and the screen that does it.
import type { ComponentType } from 'preact'
import type { Found, Phone } from '../phone.ts'
import type { PlainKey } from '../words/say.ts'

/** What the shell hands to a job's screen. */
export interface JobProps {
  readonly phone: Phone
  /** The scan that the job was opened from; null when it was opened without one. */
  readonly found: Found | null
  /** Back to scanning; `sayDone` is shown there for a while, when given. */
  readonly close: (sayDone?: string) => void
}

/** A thing that can be done after a scan, or from the list of jobs. */
export interface Job {
  readonly id: string
  readonly title: PlainKey
  /** Lower comes first among what is offered. */
  readonly order: number
  /** Is this what can be done next with what was scanned? */
  readonly offeredFor: (found: Found, phone: Phone) => boolean
  /** May it be begun without a scan? */
  readonly withoutScan: boolean
  /** Is there work of this job that a killed tab left open? Asked once, when the app starts. */
  readonly leftOpen?: () => Promise<boolean>
  readonly Screen: ComponentType<JobProps>
}
