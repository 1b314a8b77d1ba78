// A hand-made season of one lot, small enough to know every number in it by heart.
import type { Database } from '../../db/connect.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import type { Entry, EntryBody } from '#wire/entry.ts'
import { EntryWriter, idOf, seeded } from '../sim/entry-writer.ts'

/** Sends entries as their own devices would, in the order given, and settles the findings. */
export async function send(db: Database, entries: Entry[]): Promise<void> {
  for (const device of new Set(entries.map((entry) => entry.device))) {
    const own = entries.filter((entry) => entry.device === device)
    const results = await ingest(db, device, own)
    const aside = results.find((result) => result.result === 'set aside')
    if (aside !== undefined) throw new Error(JSON.stringify(aside))
  }
  await settleFindings(db)
}

/** Writes entries about things that are named by words: `small.id('lot A')`. */
export class SmallSeason extends EntryWriter {
  constructor(label: string, startsAt = '2027-01-10T08:00:00Z') {
    super(seeded(label.length), startsAt, label)
  }

  id(name: string): string {
    return idOf(`${this.label} ${name}`)
  }

  /** A source registered and in good standing since 2020. */
  source(name: string, changes: Partial<EntryBody<'source.registered'>> = {}) {
    this.add('source.standing_changed', {
      sourceId: this.id(name),
      standing: 'good',
      effectiveFrom: '2020-01-01',
      reason: 'registered',
    })
    return this.add('source.registered', {
      sourceId: this.id(name),
      level: 'block',
      parentSourceId: null,
      name,
      registryNumber: null,
      varietyId: this.id('variety'),
      clone: '12',
      scheme: 'EU',
      class: 'certified',
      plantedYear: 2012,
      originLotId: null,
      vine: null,
      note: '',
      ...changes,
    })
  }

  standing(source: string, standing: 'good' | 'suspended' | 'withdrawn', from: string): void {
    const body = { sourceId: this.id(source), standing, effectiveFrom: from, reason: 'told so' }
    this.add('source.standing_changed', body)
  }

  test(source: string, day: string, result: 'detected' | 'not detected', agent = 'GLRaV-3'): void {
    this.add('source.tested', {
      sourceId: this.id(source),
      agent,
      method: 'PCR',
      laboratory: 'a laboratory',
      sampledOn: day,
      pooledVines: 5,
      result,
      sampleReference: null,
      note: '',
    })
  }

  place(name: string, changes: Partial<EntryBody<'place.registered'>> = {}) {
    return this.add('place.registered', {
      placeId: this.id(name),
      name,
      placeKind: 'room',
      insidePlaceId: null,
      cooled: true,
      note: '',
      ...changes,
    })
  }

  bath(name: string, tank = 'tank') {
    return this.add('bath.filled', {
      bathId: this.id(name),
      placeId: this.id(tank),
      water: 'well',
      waterTempC: 11,
      disinfectant: null,
      litres: 400,
    })
  }

  /** What a lot of this season is unless a test says otherwise. */
  identity() {
    return {
      material: 'scion wood' as const,
      varietyId: this.id('variety'),
      clone: '12',
      scheme: 'EU',
      class: 'certified',
      harvestYear: 2026,
      budsPerStick: 6,
    }
  }

  /** 100 sticks of 6 buds cut from 'source' into 'room'. */
  cut(name: string, changes: Partial<EntryBody<'lot.cut'>> = {}) {
    return this.add('lot.cut', {
      lotId: this.id(name),
      reference: name,
      ...this.identity(),
      sourceId: this.id('source'),
      sticks: 100,
      bundles: [],
      to: { kind: 'place', id: this.id('room') },
      note: '',
      ...changes,
    })
  }

  /** Parts 10 sticks from a lot in 'room'. */
  split(parent: string, part: string, changes: Partial<EntryBody<'lot.split'>> = {}) {
    return this.add('lot.split', {
      ...this.identity(),
      parentLotId: this.id(parent),
      parentBundleId: null,
      from: { kind: 'place', id: this.id('room') },
      parts: [
        { lotId: this.id(part), reference: part, unit: 'stick' as const, count: 10, bundles: [] },
      ],
      reason: 'sorted',
      ...changes,
    })
  }

  sticks(lot: string, count: number, bundle: string | null = null) {
    const bundleId = bundle === null ? null : this.id(bundle)
    return { lotId: this.id(lot), bundleId, unit: 'stick' as const, count }
  }

  /** 'crew' is given sticks out of 'room'. */
  handOver(lot: string, count: number, bundle: string | null = null) {
    return this.add('wood.handed_over', {
      wood: this.sticks(lot, count, bundle),
      from: { kind: 'place', id: this.id('room') },
      toHolderId: this.id('crew'),
      note: '',
    })
  }

  /** Sticks go from 'room' into a bath. */
  soak(lot: string, count: number, bath: string) {
    return this.add('soak.began', {
      wood: this.sticks(lot, count),
      from: { kind: 'place', id: this.id('room') },
      bathId: this.id(bath),
    })
  }

  /** Sticks come out of a bath into 'room'. */
  liftOut(lot: string, count: number, bath: string) {
    return this.add('soak.ended', {
      wood: this.sticks(lot, count),
      bathId: this.id(bath),
      to: { kind: 'place', id: this.id('room') },
    })
  }

  /** Ten sticks of each lot, out of 'room', become one lot. */
  combine(name: string, parents: string[], changes: Partial<EntryBody<'lot.combined'>> = {}) {
    return this.add('lot.combined', {
      lotId: this.id(name),
      reference: name,
      ...this.identity(),
      parents: parents.map((parent) => ({
        ...this.sticks(parent, 10),
        budEquivalents: 60,
        from: { kind: 'place' as const, id: this.id('room') },
      })),
      bundles: [],
      to: { kind: 'place', id: this.id('room') },
      reason: 'same wood',
      ...changes,
    })
  }

  row(name: string, changes: Partial<EntryBody<'row.laid_out'>> = {}) {
    return this.add('row.laid_out', {
      rowId: this.id(name),
      blockId: this.id('block'),
      label: name,
      sequence: 1,
      positionCount: 100,
      headAt: null,
      missing: [],
      sections: [],
      ...changes,
    })
  }

  /** 'crew' sets two buds of a lot on a vine of 'row'. */
  graft(
    lot: string,
    position: number,
    changes: Partial<EntryBody<'graft.made'>> = {},
    minutesAgo = 0,
  ) {
    const body = {
      vine: { rowId: this.id('row'), position },
      lotId: this.id(lot),
      bundleId: null,
      from: { kind: 'holder' as const, id: this.id('crew') },
      method: 'chip bud',
      budCount: 2,
      knifeId: null,
      tie: null,
      note: '',
      ...changes,
    }
    return this.add('graft.made', body, { minutesAgo })
  }

  withdraw(entry: Entry, reason = 'mistaken') {
    return this.add('entry.withdrawn', { entryId: entry.id, reason })
  }

  hold(on: 'lot' | 'source' | 'bath' | 'place', name: string, agent: string | null = null) {
    return this.add('hold.placed', {
      holdId: this.id(`hold on ${name}`),
      on: { kind: on, id: this.id(name) },
      agent,
      reason: 'doubt',
    })
  }

  lift(name: string) {
    return this.add('hold.lifted', {
      holdId: this.id(`hold on ${name}`),
      reason: 'retested',
      secondPersonId: null,
    })
  }
}

/** Withdraws the season's last entry. */
export function withdrawLast(season: SmallSeason): void {
  const last = season.entries.at(-1)
  if (last === undefined) throw new Error('there is nothing to withdraw')
  season.withdraw(last)
}
