// The phone's line to the server: requests signed under its identity, and the server's clock.
import type { Store } from '../queue/store.ts'
import type { Ask } from '../snapshot-source.ts'
import type { Arrived } from './answer.ts'
import { signedFetch } from './signed-fetch.ts'
import type { Fetch, SignedRequestParts, Signer } from './signed-fetch.ts'

/** A slower answer tells too little of the server's clock, unless nothing is known yet. */
const CLOCK_ROUND_TRIP_MS = 10_000

const offsetKey = 'clock offset ms'

/** Sends signed requests and learns how far the phone's clock is from the server's. */
export class Connection {
  readonly #store: Store
  readonly #fetch: Fetch
  readonly #nowMs: () => number
  #clockOffsetMs: number | null

  private constructor(store: Store, fetch: Fetch, nowMs: () => number, offset: number | null) {
    this.#store = store
    this.#fetch = fetch
    this.#nowMs = nowMs
    this.#clockOffsetMs = offset
  }

  /** With the offset that was known when the app was last open. */
  static async open(store: Store, fetch: Fetch, nowMs: () => number): Promise<Connection> {
    return new Connection(store, fetch, nowMs, (await store.get('number', offsetKey)) ?? null)
  }

  /** Server clock minus phone clock in ms; null before the first answer. */
  get clockOffsetMs(): number | null {
    return this.#clockOffsetMs
  }

  /** The server's time as far as it is known, in ms since 1970. */
  serverMs(): number {
    return this.#nowMs() + (this.#clockOffsetMs ?? 0)
  }

  /** A question, signed with the server's time; asked once more when that was too far off. */
  async ask(signer: Signer, request: Omit<SignedRequestParts, 'number'>): Promise<Arrived> {
    const send = () => {
      const number = Math.floor(this.serverMs() / 1000)
      return this.numbered(signer, { ...request, number })
    }
    const before = this.#clockOffsetMs
    const first = await send()
    const isOff = first.status === 401 && first.text.includes('clock_differs')
    return isOff && this.#clockOffsetMs !== before ? send() : first
  }

  /** A request under a number of its own. */
  async numbered(signer: Signer, request: SignedRequestParts): Promise<Arrived> {
    const sentMs = this.#nowMs()
    const arrived = await signedFetch(this.#fetch, signer, request)
    await this.#learnClock(arrived, sentMs, this.#nowMs())
    return arrived
  }

  /** The same for what lies outside the queue. */
  asker(signer: Signer): Ask {
    return {
      get: (target) => this.ask(signer, { method: 'GET', target }),
      post: (target, body, contentType) =>
        this.ask(signer, { method: 'POST', target, body, contentType }),
    }
  }

  async #learnClock({ serverTime }: Arrived, sentMs: number, arrivedMs: number): Promise<void> {
    const serverMs = serverTime === null ? Number.NaN : Date.parse(serverTime)
    const took = arrivedMs - sentMs
    const isUsable = took >= 0 && (took <= CLOCK_ROUND_TRIP_MS || this.#clockOffsetMs === null)
    if (Number.isNaN(serverMs) || !isUsable) return
    this.#clockOffsetMs = Math.round(serverMs - (sentMs + arrivedMs) / 2)
    await this.#store.put('number', this.#clockOffsetMs, offsetKey)
  }
}
