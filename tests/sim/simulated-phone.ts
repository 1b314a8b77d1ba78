// One phone of a simulation: real queue and sender, a store in memory, a bad network and clock.
import type { Hono } from 'hono'
import type { Database } from '../../db/connect.ts'
import { beginEnrolment } from '../../api/people/enrolment.ts'
import type { Env } from '../../api/platform/services.ts'
import { LivePhone } from '../../scanner/live-phone.ts'
import { noSnapshot } from '../../scanner/no-snapshot.ts'
import { newLocks } from '../../scanner/queue/locks.ts'
import { allInState } from '../../scanner/queue/outbox.ts'
import { openStore } from '../../scanner/queue/store.ts'
import type { World } from '../../scanner/world.ts'
import { idOf } from './entry-writer.ts'
import type { Work } from './work-of-a-day.ts'

/** What a phone is put into; `random` is shared, so that one seed decides everything. */
export interface Surroundings {
  readonly name: string
  readonly nr: number
  readonly random: () => number
  /** The server as it runs now. */
  readonly app: () => Hono<Env>
}

const minuteMs = 60_000
const hourMs = 60 * minuteMs

export class SimulatedPhone {
  /** Requests that did not go as they should have. */
  readonly troubles = { lost: 0, answerLost: 0, late: 0, serverError: 0, clockJumps: 0 }
  deviceId = ''
  readonly #surroundings: Surroundings
  readonly #work: Work[]
  readonly #written: string[] = []
  /** Requests that the network still holds; each is delivered some steps later. */
  #underWay: { steps: number; deliver: () => Promise<unknown> }[] = []
  #clockMs: number
  #isRough = false
  #phone: LivePhone | null = null

  private constructor(surroundings: Surroundings, work: Work[]) {
    this.#surroundings = surroundings
    this.#work = [...work]
    this.#clockMs = Date.parse('2027-04-12T06:00:00Z') + surroundings.nr * minuteMs
  }

  /** Enrolled and let in; from then on the network is what it is. */
  static async make(from: Surroundings, db: Database, work: Work[]): Promise<SimulatedPhone> {
    const made = new SimulatedPhone(from, work)
    const now = new Date('2027-04-12T18:00:00Z')
    const madeBy = idOf('office')
    await db
      .insertInto('person')
      .values({ person_id: madeBy, name: 'The office', role: 'office' })
      .onConflict((conflict) => conflict.doNothing())
      .execute()
    const given = { deviceName: `Phone ${from.nr}`, madeBy, now }
    const { code } = await beginEnrolment(db, given)
    const phone = await made.#open()
    const answer = await phone.enrol(code)
    if (answer.result !== 'enrolled') throw new Error(answer.result)
    made.deviceId = answer.identity.deviceId
    await db
      .updateTable('device')
      .set({ confirmed_at: now })
      .where('device_id', '=', made.deviceId)
      .execute()
    await phone.change({ personId: idOf(`person ${from.nr}`) })
    await phone.sync()
    made.#isRough = true
    return made
  }

  get isDone(): boolean {
    const isQuiet = this.#work.length === 0 && this.#underWay.length === 0
    return isQuiet && this.#phone?.unsent.count === 0
  }

  /** Works or sends or is started again; whatever the network holds comes nearer. */
  async step(): Promise<void> {
    const { random } = this.#surroundings
    this.#clockMs += minuteMs * random()
    await this.#deliverDue()
    const toss = random()
    if (toss < 0.05) await this.#startAgain()
    else if (toss < 0.1) this.#jumpClock()
    else if (toss < 0.6) await this.#workOnce()
    else await (await this.#open()).sync()
  }

  /** Everything that was written down here, as it stands in the store. */
  async entries(): Promise<{ id: string; text: string; counter: number; state: string }[]> {
    const store = await openStore(this.#surroundings.name)
    const all = await Promise.all(
      (['unsent', 'acknowledged', 'set aside'] as const).map((state) => allInState(store, state)),
    )
    store.close()
    return all
      .flat()
      .sort((one, other) => one.deviceCounter - other.deviceCounter)
      .map(({ id, text, deviceCounter: counter, state }) => ({ id, text, counter, state }))
  }

  close(): void {
    this.#phone?.close()
    this.#phone = null
  }

  async #workOnce(): Promise<void> {
    const work = this.#work.shift()
    if (work === undefined) return
    const phone = await this.#open()
    const draft =
      'withdraw' in work
        ? ({
            kind: 'entry.withdrawn',
            body: { entryId: this.#written[work.withdraw] ?? '', reason: 'counted wrongly' },
          } as const)
        : work
    this.#written.push((await phone.write(draft)).id)
  }

  /** The app is closed and opened again, on the same store. */
  async #startAgain(): Promise<void> {
    this.close()
    await this.#open()
  }

  #jumpClock(): void {
    this.troubles.clockJumps += 1
    const jumps = [-365 * 24 * hourMs, -5 * hourMs, 3 * hourMs, 365 * 24 * hourMs]
    const jump = jumps[Math.floor(this.#surroundings.random() * jumps.length)] ?? 0
    this.#clockMs = Date.parse('2027-04-12T09:00:00Z') + jump
  }

  async #open(): Promise<LivePhone> {
    this.#phone ??= await LivePhone.open(this.#world(), noSnapshot)
    return this.#phone
  }

  #world(): World {
    return {
      storeName: this.#surroundings.name,
      fetch: (path, init) => this.#fetch(path, init),
      now: () => new Date(this.#clockMs),
      offsetMinutes: () => 120,
      random: this.#surroundings.random,
      withLock: newLocks(undefined),
      timers: { set: () => null, clear: () => {} },
      tabs: { tell: () => {}, listen: () => {} },
      languages: ['en'],
      storage: () => Promise.resolve({ persisted: true, usedBytes: null, quotaBytes: null }),
    }
  }

  async #fetch(path: string, init: RequestInit): Promise<Response> {
    const { random, app } = this.#surroundings
    const deliver = () => Promise.resolve(app().request(path, init))
    const toss = this.#isRough ? random() : 1
    if (toss < 0.1) {
      this.troubles.lost += 1
      throw new TypeError('the request was lost')
    }
    if (toss < 0.2) {
      this.troubles.answerLost += 1
      await deliver()
      throw new TypeError('the answer was lost')
    }
    if (toss < 0.3) {
      this.troubles.late += 1
      this.#underWay.push({ steps: 1 + Math.floor(random() * 6), deliver })
      throw new TypeError('given up waiting; the network still carries it')
    }
    if (toss < 0.4) {
      this.troubles.serverError += 1
      return new Response('<html>Bad gateway', { status: 502 })
    }
    return deliver()
  }

  async #deliverDue(): Promise<void> {
    for (const held of this.#underWay) held.steps -= 1
    const due = this.#underWay.filter(({ steps }) => steps <= 0)
    this.#underWay = this.#underWay.filter(({ steps }) => steps > 0)
    // The last given up is delivered first: they cross on their way.
    for (const { deliver } of due.reverse()) await deliver()
  }
}
