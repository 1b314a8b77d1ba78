// The demo's winters: lots cut, tied, tagged and stored; one received, one parted, two combined.
import type { EntryBody } from '#wire/entry.ts'
import { at, daysLater } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import { budsPerStick, cuts, idOf, sources, sticksPerBundle, sticksPerLot } from './setting.ts'
import type { SourceKey } from './setting.ts'

/** A bundle ready for the spring, and whether the warm week caught it. */
export type StoredBundle = {
  bundleId: string
  lotId: string
  placeId: string
  sticks: number
  warmed: boolean
}

/** Bundles at hand in a spring, by the source they are of. */
export type Stores = Map<SourceKey, StoredBundle[]>

type Identity = Pick<
  EntryBody<'lot.cut'>,
  'material' | 'varietyId' | 'clone' | 'scheme' | 'class' | 'harvestYear' | 'budsPerStick'
>

/** Cuts everything for one spring. `season` is 0 or 1, `year` that of the spring. */
export function workWinter(writer: DemoWriter, season: 0 | 1, year: number): Stores {
  const winter = new Winter(writer, season, year)
  winter.cutAll()
  if (season === 1) {
    winter.combine()
    winter.split()
    winter.receive()
    winter.warmWeek()
  }
  return winter.stores
}

class Winter {
  readonly stores: Stores = new Map()
  private readonly writer: DemoWriter
  private readonly season: 0 | 1
  private readonly year: number
  private running = 0

  constructor(writer: DemoWriter, season: 0 | 1, year: number) {
    this.writer = writer
    this.season = season
    this.year = year
  }

  cutAll(): void {
    let day = 0
    for (const cut of cuts.filter((candidate) => candidate.season === this.season)) {
      for (let nr = 0; nr < cut.lots; nr += 1) {
        this.cut(cut.source, idOf(`place ${cut.room}`), at(this.year, 1, 8 + day, 9 + nr * 1.5))
      }
      day += 2
    }
    const stock = at(this.year, 1, 6, 10)
    if (this.season === 1) this.cut('stock', idOf('place room 1'), stock, 'rootstock wood')
  }

  private cut(
    sourceKey: SourceKey,
    placeId: string,
    time: number,
    material: Identity['material'] = 'scion wood',
  ): void {
    const { lotId, reference, bundles } = this.newLot(sticksPerLot)
    this.writer.add('lot.cut', time, 'store', {
      ...{ lotId, reference, ...this.identity(sourceKey, material) },
      sourceId: idOf(`source ${sourceKey}`),
      sticks: sticksPerLot,
      bundles,
      to: { kind: 'place', id: placeId },
      note: '',
    })
    this.tag(lotId, bundles, time)
    const stored = bundles.map((bundle) => inStore(lotId, placeId, bundle))
    this.stores.set(sourceKey, [...(this.stores.get(sourceKey) ?? []), ...stored])
  }

  /** Two lots of one source, a bundle of each, become one lot of two origins' shares. */
  combine(): void {
    const bundles = this.stores.get('mill') ?? []
    const first = bundles[0]
    const second = bundles.find((bundle) => bundle.lotId !== first?.lotId)
    if (first === undefined || second === undefined) return
    const made = this.newLot(2 * sticksPerBundle)
    const time = at(this.year, 2, 9, 11)
    this.writer.add('lot.combined', time, 'store', {
      ...{ lotId: made.lotId, reference: made.reference },
      ...this.identity('mill', 'scion wood'),
      parents: [first, second].map((bundle) => ({
        lotId: bundle.lotId,
        bundleId: bundle.bundleId,
        unit: 'stick' as const,
        count: sticksPerBundle,
        budEquivalents: sticksPerBundle * budsPerStick,
        from: { kind: 'place' as const, id: bundle.placeId },
      })),
      bundles: made.bundles,
      to: { kind: 'place', id: first.placeId },
      reason: 'thin sticks of both lots sorted out, the rest tied together',
    })
    this.tag(made.lotId, made.bundles, time)
    const rest = bundles.filter((bundle) => bundle !== first && bundle !== second)
    const stored = made.bundles.map((bundle) => inStore(made.lotId, first.placeId, bundle))
    this.stores.set('mill', [...stored, ...rest])
  }

  /** One bundle of a lot becomes two lots: thick sticks and thin ones. */
  split(): void {
    const bundles = this.stores.get('quarry') ?? []
    const last = bundles.pop()
    if (last === undefined) return
    const time = at(this.year, 2, 10, 14)
    const parts = [60, 40].map((count) => this.newLot(count, count))
    this.writer.add('lot.split', time, 'store', {
      ...this.identity('quarry', 'scion wood'),
      parentLotId: last.lotId,
      parentBundleId: last.bundleId,
      from: { kind: 'place', id: last.placeId },
      parts: parts.map(({ lotId, reference, bundles: tied }, nr) => ({
        ...{ lotId, reference, unit: 'stick' as const, count: nr === 0 ? 60 : 40 },
        bundles: tied,
      })),
      reason: 'thick and thin sticks parted',
    })
    for (const part of parts) {
      this.tag(part.lotId, part.bundles, time)
      bundles.push(...part.bundles.map((bundle) => inStore(part.lotId, last.placeId, bundle)))
    }
  }

  /** Wood bought in, whose source the supplier did not name. */
  receive(): void {
    const { lotId, reference, bundles } = this.newLot(sticksPerBundle)
    const time = at(this.year, 2, 12, 10)
    const placeId = idOf('place room 1')
    this.writer.add('lot.received', time, 'office', {
      ...{ lotId, reference, ...this.identity('top', 'scion wood') },
      supplierId: idOf('party nethervale'),
      supplierReference: 'NV 2207',
      passportCode: 'NV-2207-R4',
      sourceId: null,
      unit: 'stick',
      count: sticksPerBundle,
      bundles,
      to: { kind: 'place', id: placeId },
      note: 'the delivery note names no source block',
    })
    this.tag(lotId, bundles, time)
    const stored = bundles.map((bundle) => inStore(lotId, placeId, bundle))
    this.stores.set('top', [...(this.stores.get('top') ?? []), ...stored])
  }

  /** Cold room 2 stands warm for a week: held, looked at, some wood thrown away, released. */
  warmWeek(): void {
    const placeId = idOf('place room 2')
    const holdId = idOf(`hold warm room ${this.year}`)
    const found = at(this.year, 2, 27, 7)
    this.writer.add('hold.placed', found, 'store', {
      holdId,
      on: { kind: 'place', id: placeId },
      agent: null,
      reason: 'compressor failed: the room stood near 9 °C from 20 to 27 February',
    })
    for (const bundles of this.stores.values()) {
      for (const bundle of bundles.filter((candidate) => candidate.placeId === placeId)) {
        bundle.warmed = true
        this.writer.add('wood.discarded', found + 3_600_000, 'store', {
          wood: { lotId: bundle.lotId, bundleId: bundle.bundleId, unit: 'stick', count: 4 },
          from: { kind: 'place', id: placeId },
          reason: 'buds moving after the warm week',
        })
      }
    }
    this.writer.add('hold.lifted', daysLater(found, 3), 'office', {
      holdId,
      reason: 'cut-bud look on 50 buds a lot: most still closed; use first',
      secondPersonId: idOf('person store'),
    })
  }

  private newLot(sticks: number, bundleOf: number = sticksPerBundle) {
    this.running += 1
    const reference = `${String(this.year % 100)}-${String(this.running).padStart(3, '0')}`
    const lotId = idOf(`lot ${reference}`)
    const bundles = Array.from({ length: Math.floor(sticks / bundleOf) }, (_, nr) => ({
      bundleId: idOf(`bundle ${reference} ${nr + 1}`),
      unit: 'stick' as const,
      count: bundleOf,
    }))
    return { lotId, reference, bundles }
  }

  private identity(sourceKey: SourceKey, material: Identity['material']): Identity {
    const source = sources.find((candidate) => candidate.key === sourceKey)
    if (source === undefined) throw new Error(`the demo has no source ${sourceKey}`)
    return {
      material,
      varietyId: idOf(`variety ${source.variety}`),
      clone: source.clone,
      scheme: 'EU',
      class: source.class,
      harvestYear: this.year - 1,
      budsPerStick: material === 'rootstock wood' ? 0 : budsPerStick,
    }
  }

  /** Prints a tag for each bundle and binds it; now and then one is spoiled or replaced. */
  private tag(lotId: string, bundles: { bundleId: string }[], time: number): void {
    const codes = bundles.map(() => this.writer.tagCode())
    const spare = this.writer.tagCode()
    this.writer.add('tag.printed', time + 60_000, 'office', {
      printId: idOf(`print ${lotId}`),
      payload: 'field tag',
      form: 'Roll 100 × 25 mm',
      codes: [...codes, spare],
      reprintReason: null,
    })
    bundles.forEach(({ bundleId }, nr) => {
      const code = codes[nr] ?? spare
      const thing = { kind: 'bundle' as const, id: bundleId }
      this.writer.add('tag.bound', time + (2 + nr) * 60_000, 'store', { code, thing })
      if (!this.writer.chance.happens(0.03)) return
      this.writer.add('tag.replaced', daysLater(time, 20), 'store', {
        oldCode: code,
        newCode: spare,
        thing,
        reason: 'torn off by the rack',
      })
    })
  }
}

function inStore(
  lotId: string,
  placeId: string,
  bundle: { bundleId: string; count: number },
): StoredBundle {
  return { bundleId: bundle.bundleId, lotId, placeId, sticks: bundle.count, warmed: false }
}
