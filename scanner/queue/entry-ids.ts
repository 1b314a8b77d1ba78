// Makes entry ids that rise even when the phone's clock is set back.
import { v7 } from 'uuid'

/** Largest sequence number within one millisecond: 32 bits, as `uuid` lays them out. */
const SEQUENCE_LIMIT = 0xffff_ffff
/** A fresh millisecond begins in the lower half, so that many ids fit after it. */
const SEQUENCE_START = 0x7fff_ffff

/** Makes UUIDs of version 7 (RFC 9562 §5.7, monotonic by method 1 of §6.2). */
export class EntryIds {
  #ms: number
  #sequence = 0
  readonly #random: () => number

  /**
   * @param floorMs the time in the last id that was written down, in ms since 1970; 0 for none
   * @param random gives numbers from 0 to below 1, for the start of each millisecond's sequence
   */
  constructor(floorMs: number, random: () => number) {
    this.#ms = floorMs
    this.#random = random
    this.#sequence = SEQUENCE_LIMIT
  }

  /** The time in the last id, in ms since 1970; it never falls. */
  get ms(): number {
    return this.#ms
  }

  /** The next id, greater than every one before; `nowMs` is what the phone's clock says. */
  next(nowMs: number): string {
    if (nowMs > this.#ms) this.#begin(nowMs)
    else if (this.#sequence >= SEQUENCE_LIMIT) this.#begin(this.#ms + 1)
    else this.#sequence += 1
    return v7({ msecs: this.#ms, seq: this.#sequence })
  }

  #begin(ms: number): void {
    this.#ms = ms
    this.#sequence = Math.floor(this.#random() * SEQUENCE_START)
  }
}
