// Random seasons in which everything goes wrong that the records can show, for property tests.
import type { Entry, EntryBody, EntryKind } from '#wire/entry.ts'
import { EntryWriter, seeded } from './entry-writer.ts'
import { RandomSeason } from './season.ts'

/**
 * A season like `randomSeason`, with double and unknown lots, circles, late layouts, plans, health
 * tests, tags on everything, held baths, shared knives, lost and doubled counters, and entries
 * told in another order than they were made. About `size` entries.
 */
export function troubledSeason(seed: number, size: number, deviceCount = 4): Entry[] {
  const random = seeded(seed)
  const label = `troubled ${seed}`
  const writer = new EntryWriter(random, '2027-01-05T07:00:00Z', label)
  const season = new TroubledSeason(writer, random, label, deviceCount)
  season.begin()
  while (writer.entries.length < size) season.step()
  return writer.entries
}

const agents = ['GLRaV-3', 'esca', 'viroids', 'Botrytis', null]

class TroubledSeason extends RandomSeason {
  protected override things(): [number, () => void][] {
    return [
      ...super.things(),
      [3, () => this.cutAgain()],
      [4, () => this.partIntoKnown()],
      [8, () => this.soakSomewhere()],
      [3, () => this.fillOrEmpty()],
      [20, () => this.graftSomewhere()],
      [5, () => this.checkStrangely()],
      [4, () => this.changeRow()],
      [5, () => this.plan()],
      [4, () => this.changeVine()],
      [9, () => this.judgeSource()],
      [3, () => this.registerAgain()],
      [10, () => this.printOrBind()],
      [5, () => this.holdSomething()],
      [3, () => this.withdrawStrangely()],
      [2, () => this.misnumber()],
      [4, () => this.placeOrBundle()],
      [3, () => this.examineWrongly()],
    ]
  }

  private described() {
    return {
      material: 'scion wood' as const,
      varietyId: this.id(`variety ${this.whole(1, 2)}`),
      clone: this.pick([null, '12', '7']),
      scheme: this.pick([null, 'EU']),
      class: this.pick([null, 'base', 'certified', 'standard']),
      harvestYear: this.whole(2025, 2026),
      budsPerStick: this.whole(0, 7),
    }
  }

  /** Checks that cannot be: more alive than looked at, heavier dry than fresh. */
  private examineWrongly(): void {
    const sample = { lotId: this.someLot(), bundleId: null, used: null, note: '' }
    if (this.chance(0.5)) {
      const measured = { by: 'oven' as const, freshGrams: 80, dryGrams: this.whole(70, 90) }
      return void this.add('check.moisture', { ...sample, measured })
    }
    this.add('check.viability', {
      ...{ ...sample, method: 'cut bud', sampledCount: 50, forcedDays: null },
      liveCount: this.whole(45, 60),
    })
  }

  private room() {
    return { kind: 'place' as const, id: this.id('room') }
  }

  private wood(count = this.whole(1, 20)) {
    return { lotId: this.someLot(), bundleId: null, unit: 'stick' as const, count }
  }

  private someLot(): string {
    return this.chance(0.05) ? this.id(`lot never made ${this.whole(1, 3)}`) : this.pick(this.lots)
  }

  private someSource(): string {
    return this.chance(0.1) ? this.id(`source ${this.whole(900, 902)}`) : this.pick(this.sources)
  }

  private someRow(): string {
    return this.id(`row ${this.whole(1, 6)}`)
  }

  private cutAgain(): void {
    const lotId = this.chance(0.4) ? this.pick(this.lots) : this.id(`lot ${this.next()}`)
    const bundleId = this.id(`bundle ${this.whole(1, 9)}`)
    this.add('lot.cut', {
      lotId,
      reference: `27-${this.whole(1, 6)}`,
      ...this.described(),
      sourceId: this.someSource(),
      sticks: this.whole(1, 40) + 20,
      bundles: this.chance(0.5) ? [{ bundleId, unit: 'stick', count: 20 }] : [],
      to: this.chance(0.3) ? { kind: 'bath', id: this.id('bath') } : this.room(),
      note: '',
    })
    this.lots.push(lotId)
  }

  private partIntoKnown(): void {
    const part = { lotId: this.pick(this.lots), unit: 'stick' as const, count: 1, bundles: [] }
    this.add('lot.split', {
      ...this.described(),
      parentLotId: this.someLot(),
      parentBundleId: null,
      from: this.room(),
      parts: [{ ...part, reference: `27-${this.whole(1, 6)}` }],
      reason: 'sorted',
    })
  }

  private bathId(): string {
    return this.id(`bath ${this.whole(1, 4)}`)
  }

  private soakSomewhere(): void {
    const [wood, bathId] = [this.wood(), this.bathId()]
    if (this.chance(0.6)) this.add('soak.began', { wood, from: this.room(), bathId })
    else this.add('soak.ended', { wood, bathId, to: this.room() })
  }

  private fillOrEmpty(): void {
    const bathId = this.bathId()
    if (this.chance(0.4)) return void this.add('bath.emptied', { bathId })
    this.add('bath.filled', {
      bathId,
      placeId: this.id(this.pick(['tank', 'tank nobody registered', 'room'])),
      water: 'rain',
      waterTempC: null,
      disinfectant: null,
      litres: null,
    })
  }

  private graftSomewhere(): void {
    const vine = { rowId: this.someRow(), position: this.whole(1, 22) }
    const budCount = this.whole(1, 2)
    const entry = this.add('graft.made', {
      vine,
      lotId: this.someLot(),
      bundleId: this.chance(0.2) ? this.id(`bundle ${this.whole(1, 12)}`) : null,
      from: this.chance(0.2)
        ? { kind: 'bath', id: this.bathId() }
        : { kind: 'holder', id: this.id('crew') },
      method: 'T-bud',
      budCount,
      knifeId: this.id(`knife ${this.whole(1, 3)}`),
      tie: null,
      note: '',
    })
    this.grafts.push({ id: entry.id, ...vine, buds: budCount })
  }

  private checkStrangely(): void {
    const known = this.grafts.length > 0 && this.chance(0.7)
    const graft = known ? this.pick(this.grafts) : null
    const rowId = graft !== null && this.chance(0.7) ? graft.rowId : this.someRow()
    const graftId = graft?.id ?? (this.chance(0.5) ? this.id(`graft ${this.whole(1, 4)}`) : null)
    this.add('take.checked', {
      vine: { rowId, position: graft?.position ?? this.whole(1, 22) },
      results: [{ graftId, growing: this.whole(0, 2), callused: this.whole(0, 1), failed: 0 }],
      shootLengthMm: null,
      note: '',
    })
    if (this.chance(0.3) && graftId !== null) {
      this.add('graft.removed', { graftId, reason: 'wind' })
    }
  }

  private changeRow(): void {
    const missing = [1, 2, 3].filter(() => this.chance(0.4))
    this.tell('row.laid_out', {
      rowId: this.someRow(),
      blockId: this.id(this.pick(['block', 'block two'])),
      label: String(this.whole(1, 4)),
      sequence: this.whole(1, 9),
      positionCount: this.whole(15, 22),
      headAt: null,
      missing,
      sections: [],
    })
  }

  private plan(): void {
    const from = this.whole(1, 10)
    this.tell('row.planned', {
      rowId: this.someRow(),
      fromPosition: from,
      toPosition: from + this.whole(0, 12),
      season: this.whole(2026, 2027),
      varietyId: this.id(`variety ${this.whole(1, 2)}`),
      clone: this.pick([null, '12']),
      class: this.pick([null, 'base', 'certified']),
      method: null,
      budsPerVine: 2,
    })
  }

  private changeVine(): void {
    const vine = { rowId: this.someRow(), position: this.whole(1, 21) }
    if (this.chance(0.6)) return void this.tell('vine.removed', { ...vine, reason: 'dead' })
    this.tell('vine.planted', { ...vine, plantedYear: 2027, layers: [], note: '' })
  }

  private judgeSource(): void {
    const sourceId = this.someSource()
    const day = `2027-01-${String(this.whole(1, 28)).padStart(2, '0')}`
    if (this.chance(0.5)) {
      const standing = this.pick(['good', 'suspended', 'withdrawn'] as const)
      this.tell('source.standing_changed', {
        sourceId,
        standing,
        effectiveFrom: day,
        reason: 'told by the register',
      })
      return
    }
    this.tell('source.tested', {
      sourceId,
      agent: this.pick(['GLRaV-3', 'esca', 'an agent of many words '.repeat(5).trim()]),
      method: 'PCR',
      laboratory: 'a laboratory',
      sampledOn: day,
      pooledVines: 5,
      result: this.pick(['detected', 'not detected', 'inconclusive'] as const),
      sampleReference: null,
      note: '',
    })
  }

  private registerAgain(): void {
    this.tell('source.registered', {
      sourceId: this.pick(this.sources),
      level: 'vine',
      parentSourceId: this.chance(0.6) ? this.someSource() : null,
      name: 'told again',
      registryNumber: null,
      varietyId: this.id(`variety ${this.whole(1, 2)}`),
      clone: this.pick([null, '12', '7']),
      scheme: null,
      class: this.pick([null, 'base']),
      plantedYear: null,
      originLotId: this.chance(0.3) ? this.someLot() : null,
      vine: this.chance(0.4) ? { rowId: this.someRow(), position: this.whole(1, 20) } : null,
      note: '',
    })
  }

  private printOrBind(): void {
    const code = () => `0000000${this.whole(200, 230)}0`
    const things = [
      { kind: 'lot' as const, id: this.someLot() },
      { kind: 'bundle' as const, id: this.id(`bundle ${this.whole(1, 12)}`) },
      { kind: 'row' as const, id: this.someRow() },
      { kind: 'source' as const, id: this.someSource() },
      { kind: 'bath' as const, id: this.bathId() },
      { kind: 'place' as const, id: this.id(this.pick(['room', 'another room'])) },
      { kind: 'knife' as const, id: this.id('knife 1') },
    ]
    const thing = this.pick(things)
    const way = this.whole(1, 8)
    if (way === 1) this.tell('tag.spoiled', { code: code(), reason: 'torn' })
    else if (way === 2) {
      this.tell('tag.replaced', { oldCode: code(), newCode: code(), thing, reason: 'faded' })
    } else if (way <= 4) {
      const codes = [...new Set([code(), code(), code()])]
      const form = 'field tag 20'
      const printId = this.id(`print ${this.next()}`)
      this.tell('tag.printed', { printId, payload: 'field tag', form, codes, reprintReason: null })
    } else this.tell('tag.bound', { code: code(), thing })
  }

  private holdSomething(): void {
    const holdId = this.id(`hold ${this.chance(0.2) ? this.whole(1, 5) : this.next()}`)
    const things = [
      { kind: 'lot' as const, id: this.someLot() },
      { kind: 'source' as const, id: this.someSource() },
      { kind: 'bath' as const, id: this.bathId() },
      { kind: 'place' as const, id: this.room().id },
    ]
    if (this.chance(0.3)) {
      this.tell('hold.lifted', { holdId, reason: 'retested', secondPersonId: null })
      return
    }
    this.holds.push(holdId)
    this.tell('hold.placed', {
      holdId,
      on: this.pick(things),
      agent: this.pick(agents),
      reason: 'doubt',
    })
  }

  private withdrawStrangely(): void {
    const entryId = this.chance(0.5)
      ? this.id(`entry that never came ${this.whole(1, 3)}`)
      : (this.writer.entries.findLast(({ kind }) => kind === 'entry.withdrawn')?.id ??
        this.id('entry that never came'))
    this.tell('entry.withdrawn', { entryId, reason: 'mistaken' })
  }

  private misnumber(): void {
    const device = this.id(`device ${this.whole(1, this.deviceCount)}`)
    if (this.chance(0.5)) this.writer.loseOne(device)
    else this.writer.numberAgain(device)
  }

  private placeOrBundle(): void {
    if (this.chance(0.5)) {
      this.tell('place.registered', {
        placeId: this.id(this.pick(['tank', 'another room'])),
        name: 'a place',
        placeKind: 'room',
        insidePlaceId: this.id(this.pick(['room', 'another room'])),
        cooled: this.chance(0.5),
        note: '',
      })
      return
    }
    const bundleId = this.id(`bundle ${this.whole(1, 12)}`)
    const wood = { ...this.wood(5), bundleId }
    this.tell('stay.began', { wood, from: this.room(), placeId: this.id('another room') })
  }

  /** Like `add`, but now and then of something done up to three weeks ago. */
  private tell<K extends EntryKind>(kind: K, body: EntryBody<K>): void {
    this.add(kind, body, this.chance(0.3) ? this.whole(1, 30_000) : 0)
  }
}
