// A recall by lineage and blade worked out from the entries, slowly and plainly, for comparison.
import type { Entry, EntryKind } from '#wire/entry.ts'

/** 24 hours: how long an unused blade carries (common practice, no source). */
const carriesMs = 24 * 3_600_000

export type PlainCut = { at: number; blade: string; lotId: string; vine: string }

/** Follows an agent; moments are epoch milliseconds, vines stand as `row position`. */
export class PlainRecall {
  /** Reached lots and sources, and since when. */
  readonly things = new Map<string, number>()
  /** Contacts as `from-lot to-lot moment`. */
  readonly passed = new Set<string>()
  private readonly touched = new Map<string, number>()
  private readonly worked = new Set<string>()
  private readonly entries: readonly Entry[]
  readonly cuts: readonly PlainCut[]
  /** Does a blade carry from the one cut to the other, later one? */
  readonly carries: (one: PlainCut, other: PlainCut) => boolean
  private isChanged = false

  constructor(all: readonly Entry[]) {
    const withdrawn = new Set(
      all.flatMap((entry) => (entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [])),
    )
    this.entries = all.filter(
      (entry) => entry.kind !== 'entry.withdrawn' && !withdrawn.has(entry.id),
    )
    this.cuts = this.of('graft.made').map(({ occurredAt, person, body }) => ({
      at: Date.parse(occurredAt),
      blade: body.knifeId ?? person,
      lotId: body.lotId,
      vine: vineKey(body.vine),
    }))
    this.carries = this.carryingBlades()
  }

  /** Everything that is reached, by going over all rules until none says anything new. */
  from(start: { id: string } | { vine: string }): void {
    if ('id' in start) this.things.set(start.id, startOfTime)
    else this.work(start.vine, startOfTime)
    do {
      this.isChanged = false
      for (const entry of this.entries) this.born(entry)
      for (const cut of this.cuts) if (this.isOfReached(cut)) this.touch(cut.vine, cut.at)
      for (const cut of this.cuts) if (this.isFoul(cut)) this.soil(cut)
    } while (this.isChanged)
  }

  /** Vines with buds of reached wood, else with such a trunk, as `row position how`. */
  vines(): string[] {
    const how = new Map<string, string>()
    for (const vine of this.worked) how.set(vine, 'blade')
    for (const { lotId, vine, isMissing } of this.trunks()) {
      if (this.things.has(lotId) && !isMissing) how.set(vine, 'trunk')
    }
    for (const cut of this.cuts) if (this.isOfReached(cut)) how.set(cut.vine, 'buds')
    return [...how].map(([vine, by]) => `${vine} ${by}`).sort()
  }

  /** Reached lots and sources that a standing entry made or registered, with the moment. */
  described(): [string, number][] {
    const made = this.entries.flatMap((entry): string[] => {
      if (entry.kind === 'lot.cut' || entry.kind === 'lot.combined') return [entry.body.lotId]
      if (entry.kind === 'lot.split') return entry.body.parts.map(({ lotId }) => lotId)
      return entry.kind === 'source.registered' ? [entry.body.sourceId] : []
    })
    return [...this.things].filter(([id]) => made.includes(id))
  }

  private of<K extends EntryKind>(kind: K): Entry<K>[] {
    return this.entries.filter((entry) => entry.kind === kind) as Entry[] as Entry<K>[]
  }

  private reach(id: string, at: number): void {
    if ((this.things.get(id) ?? Number.POSITIVE_INFINITY) <= at) return
    this.things.set(id, at)
    this.isChanged = true
  }

  private touch(vine: string, at: number): void {
    if ((this.touched.get(vine) ?? Number.POSITIVE_INFINITY) <= at) return
    this.touched.set(vine, at)
    this.isChanged = true
  }

  private work(vine: string, at: number): void {
    this.worked.add(vine)
    this.touch(vine, at)
  }

  /** What is made of a reached thing after it was reached is reached from its making on. */
  private born(entry: Entry): void {
    const at = Date.parse(entry.occurredAt)
    const since = (id: string | null) => this.things.get(id ?? '') ?? Number.POSITIVE_INFINITY
    if (entry.kind === 'lot.cut') {
      const { lotId, sourceId } = entry.body
      const within = this.standing().filter(({ body }) => body.parentSourceId === sourceId)
      const ofIt = [sourceId, ...within.map(({ body }) => body.sourceId)]
      if (ofIt.some((id) => since(id) <= at)) this.reach(lotId, at)
    }
    if (entry.kind === 'lot.split' && since(entry.body.parentLotId) <= at) {
      for (const part of entry.body.parts) this.reach(part.lotId, at)
    }
    if (entry.kind === 'lot.combined') {
      if (entry.body.parents.some(({ lotId }) => since(lotId) <= at)) {
        this.reach(entry.body.lotId, at)
      }
    }
    if (entry.kind !== 'source.registered' || !this.standing().includes(entry)) return
    const { sourceId, parentSourceId, originLotId, vine } = entry.body
    for (const id of [parentSourceId, originLotId]) {
      if (Number.isFinite(since(id))) this.reach(sourceId, since(id))
    }
    const touchedAt = vine === null ? undefined : this.touched.get(vineKey(vine))
    if (touchedAt !== undefined) this.reach(sourceId, touchedAt)
  }

  private standing(): Entry<'source.registered'>[] {
    return this.of('source.registered')
  }

  private trunks(): { lotId: string; vine: string; isMissing: boolean }[] {
    return this.of('row.laid_out').flatMap(({ body }) =>
      body.sections.flatMap(({ fromPosition, toPosition, layers }) =>
        layers.flatMap(({ origin }) => {
          if (origin.kind !== 'lot') return []
          return Array.from({ length: toPosition - fromPosition + 1 }, (_, nr) => {
            const position = fromPosition + nr
            const vine = vineKey({ rowId: body.rowId, position })
            return { lotId: origin.id, vine, isMissing: body.missing.includes(position) }
          })
        }),
      ),
    )
  }

  private isOfReached({ lotId, at }: PlainCut): boolean {
    return (this.things.get(lotId) ?? Number.POSITIVE_INFINITY) <= at
  }

  private isFoul(cut: PlainCut): boolean {
    for (const { lotId, vine } of this.trunks()) {
      const at = this.things.get(lotId)
      if (at !== undefined) this.touch(vine, at)
    }
    const touchedAt = this.touched.get(cut.vine) ?? Number.POSITIVE_INFINITY
    return this.isOfReached(cut) || touchedAt <= cut.at
  }

  /** A foul blade reaches whatever it cuts while it carries. */
  private soil(foul: PlainCut): void {
    for (const cut of this.cuts) {
      if (cut.at <= foul.at || !this.carries(foul, cut)) continue
      this.passed.add(`${foul.lotId} ${cut.lotId} ${cut.at}`)
      this.work(cut.vine, cut.at)
      this.reach(cut.lotId, cut.at)
    }
  }

  /** One blade carries from cut to cut: never cleaned in between, never unused for a day. */
  private carryingBlades(): (one: PlainCut, other: PlainCut) => boolean {
    const cleanings = this.of('tool.disinfected').map(({ occurredAt, person, body }) => ({
      at: Date.parse(occurredAt),
      blade: body.knifeId ?? person,
    }))
    return (one, other) => {
      if (one.blade !== other.blade) return false
      const isBetween = ({ at, blade }: { at: number; blade: string }) =>
        blade === one.blade && at > one.at && at <= other.at
      if (cleanings.some(isBetween)) return false
      const uses = this.cuts.filter(isBetween).map(({ at }) => at)
      const moments = [one.at, ...uses].sort((a, b) => a - b)
      return moments.every((at, nr) => nr === 0 || at - (moments[nr - 1] ?? at) <= carriesMs)
    }
  }
}

/** Earlier than anything in a season: with no clean test, all of it counts. */
const startOfTime = Date.parse('1900-01-01T00:00:00Z')

export function vineKey({ rowId, position }: { rowId: string; position: number }): string {
  return `${rowId} ${position}`
}
