// Random numbers that are the same for the same seed, so that the demo is the same everywhere.

/** Numbers from 0 up to 1, for ever the same for one seed (mulberry32). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = state
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296
  }
}

/** Draws what the demo needs from one stream of random numbers. */
export class Chance {
  private readonly next: () => number

  constructor(seed: number) {
    this.next = seededRandom(seed)
  }

  /** True with probability `share`. */
  happens(share: number): boolean {
    return this.next() < share
  }

  /** A whole number from `low` to `high`, both included. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1))
  }

  /** One of a list. */
  pick<T>(list: readonly [T, ...T[]]): T {
    return list[Math.floor(this.next() * list.length)] ?? list[0]
  }

  /** Bytes. */
  bytes(count: number): Uint8Array {
    return Uint8Array.from({ length: count }, () => Math.floor(this.next() * 256))
  }
}
