// A small nursery told in entries, for recalls: a source block with a vine, lots, a row, a knife.
import { ingest } from '../../api/journal/ingest.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'
import { EntryWriter, idOf, seeded } from '../sim/entry-writer.ts'

export const agents = {
  virus: 'GLRaV-3',
  viroid: 'viroids',
  wood: 'Petri disease',
} as const

/** Names things of one scene, so that scenes in one database do not meet. */
export class RecallScene {
  readonly writer: EntryWriter
  private readonly label: string

  constructor(label: string) {
    this.label = label
    this.writer = new EntryWriter(seeded(label.length + 7), '2027-01-10T08:00:00Z', label)
  }

  id(name: string): string {
    return idOf(`${this.label} ${name}`)
  }

  /** A source block, or a vine that stands in one, maybe a field vine or raised from a lot. */
  source(name: string, more: { parent?: string; lot?: string; position?: number } = {}): string {
    const { parent, lot, position } = more
    this.writer.add('source.registered', {
      sourceId: this.id(name),
      level: parent === undefined ? 'block' : 'vine',
      parentSourceId: parent === undefined ? null : this.id(parent),
      name,
      registryNumber: null,
      varietyId: this.id('variety'),
      clone: null,
      scheme: null,
      class: null,
      plantedYear: 2015,
      originLotId: lot === undefined ? null : this.id(lot),
      vine: position === undefined ? null : { rowId: this.id('row'), position },
      note: '',
    })
    return this.id(name)
  }

  test(source: string, day: string, result: 'not detected' | 'detected', agent: string): void {
    this.writer.add('source.tested', {
      sourceId: this.id(source),
      agent,
      method: 'RT-PCR',
      laboratory: 'a laboratory',
      sampledOn: day,
      pooledVines: 1,
      result,
      sampleReference: null,
      note: '',
    })
  }

  row(): void {
    this.writer.add('row.laid_out', {
      rowId: this.id('row'),
      blockId: this.id('block'),
      label: '1',
      sequence: 1,
      positionCount: 60,
      headAt: null,
      missing: [],
      sections: [],
    })
  }

  cut(lot: string, source: string): string {
    this.writer.add('lot.cut', {
      lotId: this.id(lot),
      reference: lot,
      material: 'scion wood',
      varietyId: this.id('variety'),
      clone: null,
      scheme: null,
      class: null,
      harvestYear: 2026,
      budsPerStick: 6,
      sourceId: this.id(source),
      sticks: 100,
      bundles: [],
      to: { kind: 'place', id: this.id('room') },
      note: '',
    })
    return this.id(lot)
  }

  graft(lot: string, position: number, knife: string | null = 'knife'): string {
    return this.writer.add('graft.made', {
      vine: { rowId: this.id('row'), position },
      lotId: this.id(lot),
      bundleId: null,
      from: { kind: 'unknown', id: NIL_ID },
      method: 'chip bud',
      budCount: 2,
      knifeId: knife === null ? null : this.id(knife),
      tie: null,
      note: '',
    }).id
  }

  disinfect(knife: string | null = 'knife'): void {
    const knifeId = knife === null ? null : this.id(knife)
    this.writer.add('tool.disinfected', { knifeId, disinfectant: null, vine: null, note: '' })
  }

  soak(lot: string, bath: string): void {
    this.writer.add('soak.began', { ...this.wood(lot), from: this.room(), bathId: this.id(bath) })
  }

  drain(lot: string, bath: string): void {
    this.writer.add('soak.ended', { ...this.wood(lot), bathId: this.id(bath), to: this.room() })
  }

  /** Describes the nursery, with its days by the clocks of `timeZone`. */
  describe(timeZone: string): void {
    this.writer.add('nursery.described', {
      name: this.label,
      address: '',
      country: 'XX',
      operatorNumber: null,
      certificationBody: null,
      labelHost: null,
      timeZone,
    })
  }

  wait(hours: number): void {
    this.writer.wait(hours)
  }

  async record(db: Database): Promise<void> {
    for (const device of new Set(this.writer.entries.map((entry) => entry.device))) {
      const own = this.writer.entries.filter((entry) => entry.device === device)
      const results = await ingest(db, device, own)
      const bad = results.filter((result) => result.result !== 'recorded')
      if (bad.length > 0) throw new Error(JSON.stringify(bad[0]))
    }
  }

  private wood(lot: string) {
    const count = 50
    return { wood: { lotId: this.id(lot), bundleId: null, unit: 'stick' as const, count } }
  }

  private room() {
    return { kind: 'place' as const, id: this.id('room') }
  }
}
