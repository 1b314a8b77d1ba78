// Works out from the records on the phone what judgement needs to know about a lot.
import { metByBlade } from '#trade/blade-contact.ts'
import type { LotCut } from '#trade/blade-contact.ts'
import { checksOfWood } from '#trade/checks-of-wood.ts'
import { isCooledIn } from '#trade/cooled.ts'
import { dryingAirOf } from '#trade/drying.ts'
import type { WeatherReading } from '#trade/drying.ts'
import { holdsReaching, metInBaths } from '#trade/hold-reach.ts'
import type { HoldOn, Soaked, Touch } from '#trade/hold-reach.ts'
import type { KnownLotFacts, LotFacts, Material, Standing, StockLeft } from '#trade/lot-facts.ts'
import { sameWoodOf } from '#trade/same-wood.ts'
import type { SameWood } from '#trade/same-wood.ts'
import { openedStock } from '#trade/stock-left.ts'
import { thermalAgeDays } from '#trade/thermal-facts.ts'
import type { ThermalFacts } from '#trade/thermal-facts.ts'
import type { DryingAir } from '#trade/wood-checks.ts'
import { originsOf } from '#trade/wood-origins.ts'
import type { SourceStandings } from '#trade/wood-origins.ts'
import { pieceSpans } from '#trade/wood-pieces.ts'
import type { WoodAsked } from '#trade/wood-pieces.ts'
import type { WoodSpan } from '#trade/wood-spans.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { SnapshotLotShape } from '#wire/api-snapshot.ts'
import { foulSpells } from './blades.ts'
import type { Laid } from './laid.ts'

/**
 * The facts of lots, with the same functions by which the server works them out. Reads through
 * `laid` at each call, and keeps only what entries of a phone do not change.
 */
export class FactBook {
  readonly #laid: Laid
  readonly #takenAt: number
  readonly #places: Map<string, { cooled: boolean; insidePlaceId: string | null }>
  readonly #sources: Map<string, SourceStandings>
  readonly #air: readonly WeatherReading[]
  readonly #edges = new Map<string, string[]>()
  #held: HeldWood[] | null = null
  #spells: LotCut[][] | null = null
  readonly #heldLots = new Map<string, boolean>()

  constructor(laid: Laid) {
    const { setting, sources, weather, takenAt } = laid.known.head
    this.#laid = laid
    this.#takenAt = Date.parse(takenAt)
    this.#places = new Map(setting.places.map((place) => [place.id, place]))
    this.#sources = new Map(
      sources.sources.map(({ id, parentId, standings }) => {
        const changes = standings.map(([standing, fromAt]) => {
          return { standing: standing as Standing, fromAt }
        })
        return [id, { parentId, standings: changes }]
      }),
    )
    this.#air = weather.readings.map(([readAt, tempC, humidityPercent]) => {
      return { readAt, tempC, humidityPercent }
    })
    for (const [to, from] of sources.edges) {
      this.#edges.set(to, [...(this.#edges.get(to) ?? []), from])
    }
  }

  /** To be called whenever an entry was laid over: what held wood touched is looked up anew. */
  forget(): void {
    this.#held = null
    this.#spells = null
    this.#heldLots.clear()
  }

  /** How strongly the air of the day before `nowMs` dries, as far as the records tell. */
  airAt(nowMs: number): DryingAir | null {
    return dryingAirOf(this.#air, nowMs)
  }

  /**
   * The facts of a lot for no row, or of the part of it that is asked for; `known: false` when no
   * entry made it. Holds are those of the whole lot. The air is that of when they were fetched.
   */
  factsOf(lotId: string, asked: WoodAsked = {}): LotFacts {
    const lot = this.#laid.lots.get(lotId)
    const made = lot?.makings[0]
    if (lot === undefined || made === undefined) {
      return { known: false, code: null, tag: null, snapshotAt: this.#takenAt }
    }
    const wood = this.#woodOf(lotId)
    const whole = this.#spansOf(lotId, wood)
    const isPart = asked.bundleId !== undefined || asked.account !== undefined
    const spans = isPart ? this.#spansOf(lotId, wood, asked) : whole
    const making = (id: string) => this.#laid.lots.get(id)?.makings[0] ?? null
    return {
      ...(lot.other as Partial<KnownLotFacts>),
      known: true,
      tag: null,
      snapshotAt: this.#takenAt,
      lotId,
      material: made.material as Material,
      varietyId: made.varietyId,
      clone: made.clone,
      scheme: made.scheme,
      className: made.className,
      ...originsOf(
        wood.map((part) => making(part.lotId)),
        (id) => this.#sources.get(id),
      ),
      holds: this.#holdsOn(lotId, wood, whole),
      left: leftOf(lot, asked),
      stays: spans.flatMap(({ kind, id, beganAt, endedAt }) => {
        if (kind !== 'place') return []
        const cooled = isCooledIn((placeId) => this.#places.get(placeId), id)
        return [{ placeId: id, cooled, beganAt, endedAt }]
      }),
      soaks: spans.flatMap((span) => this.#soakOf(span)),
      thermal: this.#thermalOf(lotId, new Set()),
      checks: checksOfWood(lotId, {
        recordsOf: (id) => this.#laid.lots.get(id),
        parentsOf: (id) => this.#laid.lots.get(id)?.parents ?? [],
        madeAt: (id) => making(id)?.at,
      }),
      dryingAir: this.airAt(this.#takenAt),
      plan: null,
    }
  }

  /**
   * What the readings said when the records were fetched. Of a lot that this phone made since, what
   * they said of the oldest wood that it was made of; null where nobody read anything.
   */
  #thermalOf(lotId: string, seen: ReadonlySet<string>): ThermalFacts | null {
    const lot = this.#laid.lots.get(lotId)
    const told = (lot?.other as Partial<KnownLotFacts> | undefined)?.thermal
    if (told !== undefined) return told === null ? null : { ...told, toAt: this.#takenAt }
    const before = (lot?.parents ?? []).filter((id) => !seen.has(id))
    const age = (thermal: ThermalFacts) => thermalAgeDays(thermal, this.#takenAt)
    return before
      .flatMap((id) => this.#thermalOf(id, new Set([...seen, lotId])) ?? [])
      .reduce<ThermalFacts | null>((oldest, thermal) => {
        return oldest === null || age(thermal) > age(oldest) ? thermal : oldest
      }, null)
  }

  #woodOf(lotId: string): SameWood[] {
    const { lots } = this.#laid
    return sameWoodOf(
      lotId,
      (id) => lots.get(id)?.makings[0]?.at,
      (id) => lots.get(id)?.parents ?? [],
    )
  }

  #spansOf(lotId: string, wood: readonly SameWood[], asked: WoodAsked = {}): WoodSpan[] {
    const movesOf = (id: string) => {
      const lot = this.#laid.lots.get(id)
      if (lot === undefined) return undefined
      const moves = lot.moves.map(([kind, accountId, unit, count, at, bundleId]) => {
        return { kind, id: accountId, unit, count, at, bundleId }
      })
      return { moves, budsPerStick: lot.makings[0]?.budsPerStick ?? 1 }
    }
    return pieceSpans(lotId, wood, movesOf, asked)
  }

  #soakOf({ kind, id, beganAt, endedAt }: WoodSpan): KnownLotFacts['soaks'] {
    if (kind !== 'bath') return []
    const emptiedAt = this.#laid.baths.get(id)?.emptied[0] ?? Number.POSITIVE_INFINITY
    const end = Math.min(endedAt ?? Number.POSITIVE_INFINITY, Math.max(emptiedAt, beganAt))
    return [{ bathId: id, beganAt, endedAt: Number.isFinite(end) ? end : null }]
  }

  #holdsOn(
    lotId: string,
    wood: readonly SameWood[],
    spans: readonly WoodSpan[],
  ): KnownLotFacts['holds'] {
    const { holds } = this.#laid
    if (holds.length === 0) return []
    const on = new Map<string, HoldOn[]>()
    for (const hold of holds) on.set(hold.onId, [...(on.get(hold.onId) ?? []), hold])
    const tanks = new Map(
      [...this.#laid.baths].map(([id, bath]) => [id, bath.filled[0]?.[0] ?? NIL_ID]),
    )
    const places = new Map([...this.#places].map(([id, place]) => [id, place.insidePlaceId]))
    const reached = { lotId, cameOf: this.#cameOf(lotId), spans, met: this.#met(wood, spans) }
    return holdsReaching(reached, on, { places, tanks }, (id) => this.#cameOf(id))
  }

  /** Other wood that could have passed something on, for it came of something held. */
  #met(wood: readonly SameWood[], spans: readonly WoodSpan[]): Touch[] {
    this.#held ??= this.#heldWood()
    const own = new Set(wood.map((part) => part.lotId))
    const soakedIn = (bathId: string): Soaked[] =>
      (this.#held ?? []).flatMap(({ lotId, baths }) => {
        const beganAt = baths.get(bathId)
        return beganAt === undefined ? [] : [{ lotId, beganAt }]
      })
    this.#spells ??= foulSpells(this.#laid, (id) => this.#cameOf(id))
    return [
      ...metInBaths(spans, soakedIn, own),
      ...metByBlade(wood, this.#spells, (id) => this.#isHeld(id)),
    ]
  }

  /** Did the lot come of something that a hold stands on, for whatever agent? */
  #isHeld(lotId: string): boolean {
    const before = this.#heldLots.get(lotId)
    if (before !== undefined) return before
    const cameOf = this.#cameOf(lotId)
    const isHeld = this.#laid.holds.some(({ onId }) => cameOf.has(onId))
    this.#heldLots.set(lotId, isHeld)
    return isHeld
  }

  #heldWood(): HeldWood[] {
    const known = [...this.#laid.lots.values()].flatMap((lot): HeldWood[] => {
      if (!this.#isHeld(lot.lotId)) return []
      const baths = new Map<string, number>()
      for (const [kind, id, , count, at] of lot.moves) {
        if (kind !== 'bath' || count <= 0) continue
        baths.set(id, Math.min(baths.get(id) ?? Number.POSITIVE_INFINITY, at))
      }
      return [{ lotId: lot.lotId, baths }]
    })
    const others = this.#laid.known.head.holds.heldWood
      .filter(({ lotId }) => !this.#laid.lots.has(lotId))
      .map(({ lotId, baths }) => ({ lotId, baths: new Map(baths) }))
    return [...known, ...others]
  }

  /** Every lot and source that a lot came of, itself included, as far as this phone can know. */
  #cameOf(lotId: string): Set<string> {
    const seen = new Set([lotId])
    const waiting = [lotId]
    for (let id = waiting.pop(); id !== undefined; id = waiting.pop()) {
      const lot = this.#laid.lots.get(id)
      const sources = (lot?.makings ?? []).flatMap((making) => making.sourceId ?? [])
      for (const from of [...(lot?.parents ?? []), ...sources, ...(this.#edges.get(id) ?? [])]) {
        if (seen.has(from)) continue
        seen.add(from)
        waiting.push(from)
      }
    }
    if (this.#laid.lots.has(lotId)) return seen
    const held = this.#laid.known.head.holds.heldWood.find((wood) => wood.lotId === lotId)
    for (const id of held?.cameOf ?? []) seen.add(id)
    return seen
  }
}

/** Wood that came of something held, and when it came into which bath. */
interface HeldWood {
  readonly lotId: string
  readonly baths: ReadonlyMap<string, number>
}

/** Wood at hand, anywhere or of the part asked about, with sticks opened for buds taken. */
export function leftOf(lot: SnapshotLotShape, { bundleId, account }: WoodAsked = {}): StockLeft {
  let sticks = 0
  let buds = 0
  for (const [kind, id, ofBundle, ofSticks, ofBuds] of lot.stock) {
    if (bundleId !== undefined && bundleId !== ofBundle) continue
    if (account !== undefined && (account.kind !== kind || account.id !== id)) continue
    sticks += ofSticks
    buds += ofBuds
  }
  return openedStock({ sticks, buds }, lot.makings[0]?.budsPerStick ?? 1)
}
