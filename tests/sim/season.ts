// Writes random but well-formed seasons of entries, from a seed, for property tests.
import type { Entry, EntryBody, EntryKind } from '#wire/entry.ts'
import { NIL_ID } from '#wire/basics.ts'
import { EntryWriter, idOf, seeded } from './entry-writer.ts'
import { examination } from './examination.ts'

export { EntryWriter, idOf, seeded }

/**
 * A season: sources, lots cut, split and combined, stays, soaks, handovers, grafts on rows, skips,
 * take checks, tags, holds, withdrawals (of what came before, and now and then of a withdrawal),
 * written by `deviceCount` devices. About `size` entries.
 */
export function randomSeason(seed: number, size: number, deviceCount = 4): Entry[] {
  const random = seeded(seed)
  const writer = new EntryWriter(random, '2027-01-05T07:00:00Z', `season ${seed}`)
  const season = new RandomSeason(writer, random, `season ${seed}`, deviceCount)
  season.begin()
  while (writer.entries.length < size) season.step()
  return writer.entries
}

const methods = ['chip bud', 'T-bud', 'cleft']

/** Does random things, one at a time, remembering what there is to do them with. */
export class RandomSeason {
  protected readonly lots: string[] = []
  protected readonly grafts: { id: string; rowId: string; position: number; buds: number }[] = []
  protected readonly holds: string[] = []
  protected readonly sources: string[] = []
  protected serial = 0
  protected readonly writer: EntryWriter
  protected readonly random: () => number
  protected readonly label: string
  protected readonly deviceCount: number

  constructor(writer: EntryWriter, random: () => number, label: string, deviceCount: number) {
    this.writer = writer
    this.random = random
    this.label = label
    this.deviceCount = deviceCount
  }

  begin(): void {
    this.add('place.registered', {
      placeId: this.id('room'),
      name: 'Room one',
      placeKind: 'room',
      insidePlaceId: null,
      cooled: true,
      note: '',
    })
    this.add('bath.filled', {
      bathId: this.id('bath'),
      placeId: this.id('tank'),
      water: 'well',
      waterTempC: 11.5,
      disinfectant: null,
      litres: 400,
    })
    this.add('block.registered', { blockId: this.id('block'), name: 'Upper block', note: '' })
    for (let nr = 1; nr <= 4; nr += 1) this.layOutRow(nr)
    for (let nr = 1; nr <= 3; nr += 1) this.registerSource()
    for (let nr = 1; nr <= 3; nr += 1) this.cut()
  }

  /** Does one random thing. */
  step(): void {
    const things = this.things()
    const total = things.reduce((sum, [weight]) => sum + weight, 0)
    let at = this.random() * total
    for (const [weight, run] of things) {
      at -= weight
      if (at < 0) return run()
    }
  }

  /** What may happen, each with its weight. */
  protected things(): [number, () => void][] {
    return [
      [6, () => this.cut()],
      [4, () => this.split()],
      [4, () => this.combine()],
      [8, () => this.moveWood()],
      [50, () => this.graft()],
      [14, () => this.check()],
      [3, () => this.skip()],
      [6, () => this.examine()],
      [3, () => this.tag()],
      [2, () => this.hold()],
      [4, () => this.withdraw()],
      [1, () => this.registerSource()],
      [1, () => this.removeGraft()],
    ]
  }

  protected registerSource(): void {
    const sourceId = this.id(`source ${this.next()}`)
    this.sources.push(sourceId)
    this.add('source.registered', {
      sourceId,
      level: this.chance(0.5) ? 'block' : 'vine',
      parentSourceId: this.chance(0.3) ? this.pick(this.sources) : null,
      name: `Source ${this.serial}`,
      registryNumber: null,
      varietyId: this.id(`variety ${this.whole(1, 2)}`),
      clone: null,
      scheme: null,
      class: null,
      plantedYear: 2015,
      originLotId: this.lots.length > 0 && this.chance(0.4) ? this.pick(this.lots) : null,
      vine: null,
      note: '',
    })
  }

  protected layOutRow(nr: number): void {
    this.add('row.laid_out', {
      rowId: this.id(`row ${nr}`),
      blockId: this.id('block'),
      label: String(nr),
      sequence: nr,
      positionCount: 20,
      headAt: null,
      missing: this.chance(0.5) ? [3] : [],
      sections: [
        {
          fromPosition: 1,
          toPosition: 20,
          plantedYear: 2009,
          layers: [
            {
              role: 'rootstock',
              varietyId: this.id('variety 9'),
              clone: null,
              origin: { kind: 'unknown' },
            },
          ],
        },
      ],
    })
  }

  protected identity() {
    return {
      material: 'scion wood' as const,
      varietyId: this.id(`variety ${this.whole(1, 2)}`),
      clone: null,
      scheme: null,
      class: null,
      harvestYear: 2026,
      budsPerStick: this.whole(4, 7),
    }
  }

  protected cut(): void {
    const lotId = this.id(`lot ${this.next()}`)
    this.lots.push(lotId)
    const sticks = this.whole(1, 9) * 20
    const bundleId = this.id(`bundle of ${lotId}`)
    this.add('lot.cut', {
      lotId,
      reference: `27-${this.serial}`,
      ...this.identity(),
      sourceId: this.pick(this.sources),
      sticks,
      bundles: this.chance(0.5) ? [{ bundleId, unit: 'stick', count: 20 }] : [],
      to: { kind: 'place', id: this.id('room') },
      note: '',
    })
  }

  protected split(): void {
    const parts = [1, 2].map(() => {
      const lotId = this.id(`lot ${this.next()}`)
      const count = this.whole(1, 10)
      return { lotId, reference: `27-${this.serial}`, unit: 'stick' as const, count, bundles: [] }
    })
    this.add('lot.split', {
      ...this.identity(),
      parentLotId: this.pick(this.lots),
      parentBundleId: null,
      from: { kind: 'place', id: this.id('room') },
      parts,
      reason: 'sorted',
    })
    this.lots.push(...parts.map((part) => part.lotId))
  }

  protected combine(): void {
    const parents = [this.pick(this.lots), this.pick(this.lots)].map((lotId) => {
      const count = this.whole(1, 10)
      return {
        lotId,
        bundleId: null,
        unit: 'stick' as const,
        count,
        budEquivalents: count * 5,
        from: { kind: 'place' as const, id: this.id('room') },
      }
    })
    const lotId = this.id(`lot ${this.next()}`)
    this.add('lot.combined', {
      lotId,
      reference: `27-${this.serial}`,
      ...this.identity(),
      parents,
      bundles: [],
      to: { kind: 'place', id: this.id('room') },
      reason: 'same wood',
    })
    this.lots.push(lotId)
  }

  protected moveWood(): void {
    const wood = {
      lotId: this.pick(this.lots),
      bundleId: null,
      unit: 'stick' as const,
      count: this.whole(1, 10),
    }
    const room = { kind: 'place' as const, id: this.id('room') }
    const bathId = this.id('bath')
    const crew = this.id('crew')
    const way = this.whole(1, 5)
    if (way === 1) this.add('soak.began', { wood, from: room, bathId })
    else if (way === 2) this.add('soak.ended', { wood, bathId, to: room })
    else if (way === 3) {
      this.add('wood.handed_over', { wood, from: room, toHolderId: crew, note: '' })
    } else if (way === 4) {
      this.add('wood.returned', { wood, fromHolderId: crew, placeId: room.id, note: '' })
    } else this.add('wood.discarded', { wood, from: room, reason: 'mould' })
  }

  protected graft(): void {
    const vine = { rowId: this.id(`row ${this.whole(1, 5)}`), position: this.whole(1, 21) }
    const buds = this.whole(1, 2)
    const entry = this.add('graft.made', {
      vine,
      lotId: this.chance(0.03) ? this.id('a lot nobody cut') : this.pick(this.lots),
      bundleId: null,
      from: { kind: 'holder', id: this.id('crew') },
      method: this.pick(methods),
      budCount: buds,
      knifeId: null,
      tie: null,
      note: '',
    })
    this.grafts.push({ id: entry.id, ...vine, buds })
  }

  protected check(): void {
    const graft = this.grafts.length > 0 ? this.pick(this.grafts) : null
    if (graft === null) return
    const growing = this.whole(0, graft.buds)
    this.add('take.checked', {
      vine: { rowId: graft.rowId, position: graft.position },
      results: [{ graftId: graft.id, growing, callused: 0, failed: graft.buds - growing }],
      shootLengthMm: null,
      note: '',
    })
  }

  /** A sample is looked at, a blade disinfected, a tie released, or wood taken over. */
  protected examine(): void {
    const graft = this.grafts.length > 0 ? this.pick(this.grafts) : null
    const handovers = this.writer.entries.flatMap((entry) =>
      entry.kind === 'wood.handed_over' ? [{ id: entry.id, lotId: entry.body.wood.lotId }] : [],
    )
    const draft = examination(this.random, {
      lotId: this.pick(this.lots),
      room: this.id('room'),
      knifeId: this.id('knife 1'),
      graft,
      handover: handovers.length > 0 ? this.pick(handovers) : null,
    })
    this.add(draft.kind, draft.body)
  }

  protected skip(): void {
    const vine = { rowId: this.id(`row ${this.whole(1, 4)}`), position: this.whole(1, 20) }
    this.add('vine.skipped', { vine, reason: 'too thin' })
  }

  protected tag(): void {
    const code = `0000000${String(this.whole(100, 160))}0`.replace(/^(.{10}).*$/, '$10')
    const thing = { kind: 'lot' as const, id: this.pick(this.lots) }
    if (this.chance(0.7)) this.add('tag.bound', { code, thing })
    else this.add('tag.spoiled', { code, reason: 'torn' })
  }

  protected hold(): void {
    if (this.holds.length > 0 && this.chance(0.4)) {
      this.add('hold.lifted', {
        holdId: this.pick(this.holds),
        reason: 'retested',
        secondPersonId: null,
      })
      return
    }
    const holdId = this.id(`hold ${this.next()}`)
    this.holds.push(holdId)
    const on = this.chance(0.5)
      ? { kind: 'lot' as const, id: this.pick(this.lots) }
      : { kind: 'source' as const, id: this.pick(this.sources) }
    this.add('hold.placed', { holdId, on, agent: null, reason: 'doubt' })
  }

  protected withdraw(): void {
    const entryId = this.pick(this.writer.entries).id
    this.add('entry.withdrawn', { entryId, reason: 'mistaken' })
  }

  protected removeGraft(): void {
    if (this.grafts.length === 0) return
    this.add('graft.removed', { graftId: this.pick(this.grafts).id, reason: 'broken' })
  }

  protected add<K extends EntryKind>(kind: K, body: EntryBody<K>, minutesAgo = 0): Entry<K> {
    return this.writer.add(kind, body, {
      minutesAgo,
      device: this.id(`device ${this.whole(1, this.deviceCount)}`),
      person: this.id(`person ${this.whole(1, 3)}`),
      minutesLater: this.whole(1, 30),
    })
  }

  protected id(name: string): string {
    return name === '' ? NIL_ID : idOf(`${this.label} ${name}`)
  }

  protected next(): number {
    this.serial += 1
    return this.serial
  }

  protected chance(share: number): boolean {
    return this.random() < share
  }

  protected whole(low: number, high: number): number {
    return low + Math.floor(this.random() * (high - low + 1))
  }

  protected pick<T>(list: readonly T[]): T {
    const item = list[Math.floor(this.random() * list.length)]
    if (item === undefined) throw new Error('nothing to pick from')
    return item
  }
}
