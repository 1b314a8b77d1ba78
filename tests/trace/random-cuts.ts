// A small random season of cuts: mixtures, shared knives, blades without a tag, disinfections.
import { NIL_ID } from '#wire/basics.ts'
import type { Entry, EntryBody, EntryKind } from '#wire/entry.ts'
import { EntryWriter, idOf, seeded } from '../sim/entry-writer.ts'

const positions = 8

/**
 * About `size` entries by two people with two tagged knives and the untagged ones in their hands:
 * grafts on the vines of two rows, one of them on trunks raised from a lot, by wood of lots that
 * are cut, parted and combined; vines that serve as sources; disinfections, pauses, withdrawals.
 * A share of them is told late: of something done before what was told of last.
 */
export function randomCuts(label: string, seed: number, size: number, lateShare = 0.1): Entry[] {
  const season = new RandomCuts(label, seeded(seed), lateShare)
  season.begin()
  while (season.writer.entries.length < size) season.step()
  return season.writer.entries
}

class RandomCuts {
  readonly writer: EntryWriter
  private readonly lots: string[] = []
  private readonly sources: string[] = []
  private readonly label: string
  private readonly random: () => number

  private readonly lateShare: number

  constructor(label: string, random: () => number, lateShare: number) {
    this.lateShare = lateShare
    this.label = label
    this.random = random
    this.writer = new EntryWriter(random, '2027-03-01T08:00:00Z', label)
  }

  begin(): void {
    for (let nr = 0; nr < 3; nr += 1) this.source()
    for (let nr = 0; nr < 4; nr += 1) this.cut()
    this.row('row 1', null)
    this.row('row 2', this.pick(this.lots))
  }

  step(): void {
    const toss = this.random()
    if (toss < 0.6) this.graft()
    else if (toss < 0.74) this.disinfect()
    else if (toss < 0.79) this.writer.wait(this.whole(6, 30))
    else if (toss < 0.84) this.source()
    else if (toss < 0.9) this.cut()
    else if (toss < 0.94) this.combine()
    else if (toss < 0.97) this.split()
    else this.add('entry.withdrawn', { entryId: this.pick(this.writer.entries).id, reason: 'no' })
  }

  private source(): void {
    const sourceId = this.next('source')
    const isVine = this.random() < 0.5
    this.add('source.registered', {
      ...{ sourceId, level: isVine ? 'vine' : 'block', name: `source ${this.sources.length}` },
      parentSourceId: isVine && this.random() < 0.4 ? this.pick(this.sources, null) : null,
      ...{ registryNumber: null, varietyId: this.id('variety'), clone: null, scheme: null },
      ...{ class: null, plantedYear: 2015, note: '' },
      originLotId: this.random() < 0.3 ? this.pick(this.lots, null) : null,
      vine: isVine && this.random() < 0.6 ? this.vine() : null,
    })
    this.sources.push(sourceId)
  }

  private row(name: string, originLot: string | null): void {
    const origin = originLot === null ? { kind: 'unknown' } : { kind: 'lot', id: originLot }
    const layer = { role: 'rootstock', varietyId: this.id('variety'), clone: null, origin }
    const section = { fromPosition: 2, toPosition: 4, plantedYear: 2026, layers: [layer] }
    this.add('row.laid_out', {
      ...{ rowId: this.id(name), blockId: this.id('block'), label: name, sequence: 1 },
      ...{ positionCount: positions, headAt: null, missing: [3], sections: [section] },
    } as EntryBody<'row.laid_out'>)
  }

  private identity(lotId: string) {
    this.lots.push(lotId)
    return {
      ...{ material: 'scion wood' as const, varietyId: this.id('variety'), clone: null },
      ...{ scheme: null, class: null, harvestYear: 2026, budsPerStick: 6 },
    }
  }

  private cut(): void {
    const [sourceId, lotId] = [this.pick(this.sources), this.next('lot')]
    const more = { reference: lotId.slice(0, 8), sticks: 9, bundles: [], to: this.room(), note: '' }
    this.add('lot.cut', { lotId, ...this.identity(lotId), sourceId, ...more })
  }

  private combine(): void {
    const parents = [this.pick(this.lots), this.pick(this.lots)].map((lotId) => {
      const wood = { lotId, bundleId: null, unit: 'stick' as const, count: 1 }
      return { ...wood, budEquivalents: 6, from: this.room() }
    })
    const lotId = this.next('lot')
    const more = { reference: lotId.slice(0, 8), bundles: [], to: this.room(), reason: 'mixed' }
    this.add('lot.combined', { lotId, ...this.identity(lotId), parents, ...more })
  }

  private split(): void {
    const [parentLotId, lotId] = [this.pick(this.lots), this.next('lot')]
    const part = { lotId, reference: lotId.slice(0, 8), unit: 'stick' as const, count: 1 }
    const more = { parentBundleId: null, from: this.room(), reason: 'sorted' }
    const parts = [{ ...part, bundles: [] }]
    this.add('lot.split', { ...this.identity(lotId), parentLotId, ...more, parts })
  }

  private graft(): void {
    this.add('graft.made', {
      ...{ vine: this.vine(), lotId: this.pick(this.lots), bundleId: null },
      ...{ from: { kind: 'unknown', id: NIL_ID }, method: 'chip bud', budCount: 1 },
      ...{ knifeId: this.knife(), tie: null, note: '' },
    })
  }

  private disinfect(): void {
    const knifeId = this.knife()
    this.add('tool.disinfected', { knifeId, disinfectant: null, vine: null, note: '' })
  }

  private knife(): string | null {
    return this.pick([null, this.id('knife 1'), this.id('knife 2')])
  }

  private vine() {
    return { rowId: this.id(`row ${this.whole(1, 2)}`), position: this.whole(1, positions) }
  }

  private room() {
    return { kind: 'place' as const, id: this.id('room') }
  }

  /** Some things happen at the same moment, and some are told of late. */
  private add<K extends EntryKind>(kind: K, body: EntryBody<K>): void {
    this.writer.add(kind, body, {
      person: this.id(`person ${this.whole(1, 2)}`),
      minutesLater: this.random() < 0.1 ? 0 : this.whole(1, 90),
      minutesAgo: this.random() < this.lateShare ? this.whole(30, 600) : 0,
    })
  }

  private id(name: string): string {
    return idOf(`${this.label} ${name}`)
  }

  private next(what: string): string {
    return this.id(`${what} ${this.writer.entries.length}`)
  }

  private whole(low: number, high: number): number {
    return low + Math.floor(this.random() * (high - low + 1))
  }

  private pick<T, Else = never>(list: readonly T[], otherwise?: Else): T | Else {
    const item = list[Math.floor(this.random() * list.length)]
    if (item !== undefined) return item
    if (otherwise !== undefined) return otherwise
    throw new Error('nothing to pick from')
  }
}

/** Holds on the first lots that were cut, for the agents in turn, told after everything else. */
export function holdsOnSome(season: readonly Entry[], count: number, ...agents: (string | null)[]) {
  const [last] = season.slice(-1)
  if (last === undefined) return []
  const writer = new EntryWriter(seeded(1), last.occurredAt, `${last.id} holds`)
  const lots = season.flatMap((entry) => (entry.kind === 'lot.cut' ? [entry.body.lotId] : []))
  return lots.slice(0, count).map((id, nr) => {
    const agent = agents[nr % agents.length] ?? null
    const on = { kind: 'lot' as const, id }
    const device = last.device
    return writer.add(
      'hold.placed',
      { holdId: idOf(`hold ${id}`), on, agent, reason: 'doubt' },
      { device },
    )
  })
}
