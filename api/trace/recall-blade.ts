// Which vines and lots a blade may have carried an agent to, between one disinfection and the next.
import { spellsOf } from '#trade/blade-contact.ts'
import type { CutSpan } from '#trade/blade-contact.ts'
import type { Database } from '../../db/connect.ts'
import { bladesOfWood, bladesOnVines, readBlades, trunksOf, unbundled } from './recall-cuts.ts'
import type { VinesOfRow } from './recall-cuts.ts'
import type { ReachedByBlade, ReachedThing } from './recall-spread.ts'

/** A spell of one blade: from the first foul cut on, it carries. */
type Spell = { cuts: Cut[]; foulAt: number; via: string; carriedFrom: number }

/** One graft, which is one cut by a blade. */
type Cut = CutSpan & { lotId: string; vine: Vine; spell: Spell | null; isFoul: boolean }

/** A vine with its cuts, and since when it may hold the agent. */
type Vine = { rowId: string; position: number; reachedAt: number; cuts: Cut[] }

/** A graft as others see it; `firstAt` is its moment (epoch milliseconds). */
export type GraftOfWood = {
  readonly firstAt: number
  readonly vine: { readonly rowId: string; readonly position: number }
}

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

  /** @param since the earliest moment from which anything is at issue */
  constructor(db: Database, since: Date) {
    this.#db = db
    this.#since = since
  }

  /**
   * What the blades reach further, given what came to `things` since the last call.
   *
   * @param things everything reached so far, `fresh` in it
   * @param fresh things that are new, or were reached earlier than was known
   * @param vines the same of vines that a blade touched
   */
  async contacts(
    things: ReadonlyMap<string, ReachedThing>,
    fresh: readonly ReachedThing[],
    vines: readonly ReachedByBlade[],
  ): Promise<{ vines: ReachedByBlade[]; lots: ReachedThing[] }> {
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
    for (const { reachedAt, cuts } of this.#touched) {
      for (const cut of cuts) if (cut.firstAt >= reachedAt) foul(cut, this.#fouled)
    }
    this.#touched.clear()
    return this.#carried(things)
  }

  /** Every graft of a thing at its moment or later, of things that `contacts` was told of. */
  graftsOf({ id, from }: ReachedThing): readonly GraftOfWood[] {
    return (this.#cutsOfLot.get(id) ?? []).filter(({ firstAt }) => firstAt >= from.getTime())
  }

  /** The contacts of spells that became foul, or foul earlier than was known. */
  #carried(things: ReadonlyMap<string, ReachedThing>) {
    const vines: ReachedByBlade[] = []
    const lots = new Map<string, ReachedThing>()
    for (const spell of this.#fouled) {
      const { foulAt, via, carriedFrom } = spell
      spell.carriedFrom = foulAt
      for (const { firstAt, lotId: id, vine } of spell.cuts) {
        if (firstAt <= foulAt || firstAt > carriedFrom) continue
        if ((things.get(id)?.from.getTime() ?? NEVER) <= firstAt) continue
        const from = new Date(firstAt)
        vines.push({ row_id: vine.rowId, position: vine.position, at: from })
        const before = lots.get(id)
        if (before !== undefined && !isEarlier(from, via, before)) continue
        lots.set(id, { id, from, route: 'blade', via })
      }
    }
    this.#fouled.clear()
    return { vines, lots: [...lots.values()] }
  }

  async #load(blades: readonly string[]): Promise<void> {
    const fresh = blades.filter((blade) => !this.#blades.has(blade))
    if (fresh.length === 0) return
    for (const blade of fresh) this.#blades.add(blade)
    const { cuts: bundles, cleanings } = await readBlades(this.#db, fresh, this.#since)
    const cutsOf = new Map<string, Cut[]>(fresh.map((blade) => [blade, []]))
    for (const bundle of bundles) {
      const { blade, row_id, lot_id: lotId } = bundle
      const ofLot = this.#cutsOfLot.get(lotId) ?? []
      this.#cutsOfLot.set(lotId, ofLot)
      for (const [position, at] of unbundled(bundle)) {
        const vine = this.#vineAt(row_id, position)
        const cut = { firstAt: at, lastAt: at, lotId, vine, spell: null, isFoul: false }
        cutsOf.get(blade)?.push(cut)
        ofLot.push(cut)
        vine.cuts.push(cut)
      }
    }
    for (const [blade, cuts] of cutsOf) {
      for (const ofSpell of spellsOf(cuts, cleanings.get(blade) ?? [])) {
        const spell = { cuts: ofSpell, foulAt: NEVER, via: '', carriedFrom: NEVER }
        for (const cut of ofSpell) cut.spell = spell
      }
    }
    // A blade that is met only now may have cut on vines that were reached before.
    for (const cut of [...cutsOf.values()].flat()) {
      if (cut.firstAt >= cut.vine.reachedAt) foul(cut, this.#fouled)
    }
  }

  #vineAt(rowId: string, position: number): Vine {
    let row = this.#rows.get(rowId)
    if (row === undefined) this.#rows.set(rowId, (row = new Map()))
    let vine = row.get(position)
    if (vine === undefined) {
      row.set(position, (vine = { rowId, position, reachedAt: NEVER, cuts: [] }))
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

/** Of two blades at one moment that of the wood with the lesser id is told of. */
function isEarlier(from: Date, via: string, before: ReachedThing): boolean {
  const apart = from.getTime() - before.from.getTime()
  return apart < 0 || (apart === 0 && via < (before.via ?? ''))
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
