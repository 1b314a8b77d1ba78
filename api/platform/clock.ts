// The one place where the program reads the time and makes ids.
import { v7 } from 'uuid'

/** Tells the time; tests hand in one that stands still or jumps. */
export type Clock = { now: () => Date }

export const systemClock: Clock = { now: () => new Date() }

/** A new UUID of version 7 (RFC 9562), lower case. */
export function newId(): string {
  return v7()
}
