// Which lots a blade may have carried an agent to, between one disinfection and the next.
import { spellsOf } from '#trade/blade-contact.ts'
import type { CutSpan } from '#trade/blade-contact.ts'
import type { Database } from '../../db/connect.ts'
import { bladesOfWood, bladesOnVines, eachOf, readBlades, trunksOf } from './recall-cuts.ts'
import type { VinesOfRow } from './recall-cuts.ts'
import type { FoundVine, ReachedThing } from './recall-spread.ts'

/** A spell of one blade: from the first foul cut on, it carries. */
type Spell = { cuts: Cut[]; foulAt: number; via: string; carriedFrom: number }

/** One graft, which is one cut by a blade. */
type Cut = CutSpan & {
  lotId: string
  vine: Vine
  spell: Spell | null
  isFoul: boolean
  nextOnVine: Cut | null
}

/** A vine with the last of its cuts that was read, and since when it may hold the agent. */
type Vine = { rowId: string; position: number; reachedAt: number; cut: Cut | null }

/** A graft as others see it; `firstAt` is its moment (epoch milliseconds). */
export type GraftOfWood = {
  readonly firstAt: number
  readonly vine: { readonly rowId: string; readonly position: number }
}

/** Most cuts held in memory, about 0.3 GB; a recall that needs more says that it is incomplete. */
export const CUT_LIMIT = 1_000_000

/** Blades read in one query. */
const BLADES_AT_ONCE = 20

/** Nothing has reached it. */
const NEVER = Number.POSITIVE_INFINITY

/**
 * The cuts of the blades that a recall comes upon, held in memory and read once each. Every graft
 * is a cut by a blade: the tagged knife, or else the knife in the hand of that person. A cut is
 * foul when it was made with reached wood, or on a vine that holds it or was touched before. From a
 * foul cut on, every further cut in that spell of the blade (see `spellsOf`) is a contact. Cuts
 * with wood that is reached already are left out: their vines hold it in any case.
 */
export class BladeBook {
  readonly #db: Database
  readonly #since: Date
  readonly #blades = new Set<string>()
  readonly #cutsOfLot = new Map<string, Cut[]>()
  readonly #rows = new Map<string, Map<number, Vine>>()
  readonly #touched = new Set<Vine>()
  readonly #fouled = new Set<Spell>()
  readonly #cutLimit: number
  #cutCount = 0
  #isCutShort = false

  /**
   * @param since the earliest moment from which anything is at issue
   * @param cutLimit cuts after which no further blade is read
   */
  constructor(db: Database, since: Date, cutLimit: number) {
    this.#db = db
    this.#since = since
    this.#cutLimit = cutLimit
  }

  /**
   * The lots that the blades reach further, given what came to `things` since the last call.
   *
   * @param things everything reached so far, `fresh` in it
   * @param fresh things that are new, or were reached earlier than was known
   * @param vines where the agent was found; empty after the first call
   */
  async contacts(
    things: ReadonlyMap<string, ReachedThing>,
    fresh: readonly ReachedThing[],
    vines: readonly FoundVine[],
  ): Promise<ReachedThing[]> {
    await this.#load(await bladesOfWood(this.#db, fresh))
    for (const { id, from } of fresh) {
      for (const cut of this.#cutsOfLot.get(id) ?? []) {
        if (cut.firstAt < from.getTime()) continue
        foul(cut, this.#fouled)
        this.#touch(cut.vine, cut.firstAt)
      }
    }
    for (const { row_id, position, at } of vines) {
      this.#touch(this.#vineAt(row_id, position), at.getTime())
    }
    for (const trunk of await trunksOf(this.#db, fresh)) {
      const at = things.get(trunk.id)?.from.getTime() ?? NEVER
      for (let nr = trunk.from_position; nr <= trunk.to_position; nr += 1) {
        this.#touch(this.#vineAt(trunk.row_id, nr), at)
      }
    }
    await this.#load(await bladesOnVines(this.#db, byRow(this.#touched), [...this.#blades]))
    for (const { reachedAt, cut: last } of this.#touched) {
      for (let cut = last; cut !== null; cut = cut.nextOnVine) {
        if (cut.firstAt >= reachedAt) foul(cut, this.#fouled)
      }
    }
    this.#touched.clear()
    return this.#carried(things)
  }

  /** Was a blade not followed, because there were too many cuts to hold? */
  get isCutShort(): boolean {
    return this.#isCutShort
  }

  /** Every graft of a thing at its moment or later, of things that `contacts` was told of. */
  graftsOf({ id, from }: ReachedThing): readonly GraftOfWood[] {
    return (this.#cutsOfLot.get(id) ?? []).filter(({ firstAt }) => firstAt >= from.getTime())
  }

  /** The contacts of spells that became foul, or foul earlier than was known. */
  #carried(things: ReadonlyMap<string, ReachedThing>): ReachedThing[] {
    const lots = new Map<string, { at: number; via: string }>()
    for (const spell of this.#fouled) {
      const { foulAt, via, carriedFrom } = spell
      spell.carriedFrom = foulAt
      for (const { firstAt: at, lotId } of spell.cuts) {
        if (at <= foulAt || at > carriedFrom) continue
        if ((things.get(lotId)?.from.getTime() ?? NEVER) <= at) continue
        const before = lots.get(lotId)
        const isFirst = before === undefined || at < before.at
        if (isFirst || (at === before.at && via < before.via)) lots.set(lotId, { at, via })
      }
    }
    this.#fouled.clear()
    return [...lots].map(([id, { at, via }]) => {
      return { id, from: new Date(at), route: 'blade', via }
    })
  }

  async #load(blades: readonly string[]): Promise<void> {
    const fresh = blades.filter((blade) => !this.#blades.has(blade))
    for (let nr = 0; nr < fresh.length; nr += BLADES_AT_ONCE) {
      this.#isCutShort ||= this.#cutCount >= this.#cutLimit
      if (this.#isCutShort) return
      await this.#loadSome(fresh.slice(nr, nr + BLADES_AT_ONCE))
    }
  }

  async #loadSome(fresh: readonly string[]): Promise<void> {
    for (const blade of fresh) this.#blades.add(blade)
    const { cuts: bundles, cleanings } = await readBlades(this.#db, fresh, this.#since)
    const cutsOf = new Map<string, Cut[]>(fresh.map((blade) => [blade, []]))
    for (const bundle of bundles) {
      const { blade, row_id, lot_id: lotId } = bundle
      const ofLot = this.#cutsOfLot.get(lotId) ?? []
      this.#cutsOfLot.set(lotId, ofLot)
      const ofBlade = cutsOf.get(blade) ?? []
      eachOf(bundle, (position, at) => {
        const vine = this.#vineAt(row_id, position)
        const more = { spell: null, isFoul: false, nextOnVine: vine.cut }
        const cut = { firstAt: at, lastAt: at, lotId, vine, ...more }
        ofBlade.push(cut)
        ofLot.push(cut)
        vine.cut = cut
      })
    }
    for (const [blade, cuts] of cutsOf) {
      this.#cutCount += cuts.length
      for (const ofSpell of spellsOf(cuts, cleanings.get(blade) ?? [])) {
        const spell = { cuts: ofSpell, foulAt: NEVER, via: '', carriedFrom: NEVER }
        for (const cut of ofSpell) cut.spell = spell
      }
    }
    // A blade that is met only now may have cut on vines that were reached before.
    for (const cuts of cutsOf.values()) {
      for (const cut of cuts) if (cut.firstAt >= cut.vine.reachedAt) foul(cut, this.#fouled)
    }
  }

  #vineAt(rowId: string, position: number): Vine {
    let row = this.#rows.get(rowId)
    if (row === undefined) this.#rows.set(rowId, (row = new Map()))
    let vine = row.get(position)
    if (vine === undefined) {
      row.set(position, (vine = { rowId, position, reachedAt: NEVER, cut: null }))
    }
    return vine
  }

  #touch(vine: Vine, at: number): void {
    if (at >= vine.reachedAt) return
    vine.reachedAt = at
    this.#touched.add(vine)
  }
}

/** Of several foul cuts at one moment the lot with the least id is told of. */
function foul(cut: Cut, fouled: Set<Spell>): void {
  const { spell, firstAt, lotId } = cut
  if (cut.isFoul || spell === null) return
  cut.isFoul = true
  if (firstAt > spell.foulAt || (firstAt === spell.foulAt && lotId >= spell.via)) return
  spell.foulAt = firstAt
  spell.via = lotId
  fouled.add(spell)
}

function byRow(vines: Iterable<Vine>): VinesOfRow[] {
  const rows = new Map<string, VinesOfRow>()
  for (const { rowId, position, reachedAt } of vines) {
    const row = rows.get(rowId)
    if (row === undefined) rows.set(rowId, { rowId, positions: [position], at: reachedAt })
    else {
      row.positions.push(position)
      row.at = Math.min(row.at, reachedAt)
    }
  }
  return [...rows.values()]
}
