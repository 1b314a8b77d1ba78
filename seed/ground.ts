// The demo's nursery before any wood is cut: particulars, varieties, places, sources, blocks.
import type { EntryBody } from '#wire/entry.ts'
import { at } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import { blocks, crews, idOf, scions, sources, standing } from './setting.ts'
import type { Block } from './setting.ts'

/** A row of the demo as it was laid out. */
export type DemoRow = {
  rowId: string
  label: string
  positionCount: number
  missing: number[]
  block: Block
}

/** Writes the ground and returns every row. `year` is that of the first spring. */
export function layGround(writer: DemoWriter, year: number): DemoRow[] {
  const began = beganAt(year)
  nursery(writer, began)
  registerSources(writer, began, year)
  return blocks.flatMap((block) => layBlock(writer, began, block))
}

/** Enrols phones with their public keys, by device, before their first entries. */
export function enrolPhones(
  writer: DemoWriter,
  year: number,
  phoneKeys: ReadonlyMap<string, string>,
): void {
  for (const [deviceId, publicKey] of phoneKeys) {
    writer.add('device.enrolled', beganAt(year), 'office', { deviceId, publicKey })
  }
}

/** The authority that is told when something is found. */
export function registerAuthority(writer: DemoWriter, year: number): void {
  writer.add('party.registered', beganAt(year), 'office', {
    partyId: idOf('party board'),
    name: 'Demo plant health board',
    role: 'authority',
    registrationNumber: null,
    note: '',
  })
}

const beganAt = (year: number) => at(year - 1, 11, 3, 8)

function nursery(writer: DemoWriter, began: number): void {
  writer.add('nursery.described', began, 'office', {
    name: 'Sallow Ridge Vine Nursery',
    address: 'Ridge Lane 4\nSallowby',
    country: 'XX',
    operatorNumber: 'XX-00417',
    certificationBody: 'Demo plant health board',
    labelHost: 'canemark.example',
    timeZone: 'UTC',
  })
  for (const [key, { name, synonyms }] of Object.entries(scions)) {
    writer.add('variety.registered', began, 'office', {
      varietyId: idOf(`variety ${key}`),
      name,
      synonyms: [...synonyms],
      use: 'scion',
    })
  }
  for (const [key, { name, use }] of Object.entries(standing)) {
    const varietyId = idOf(`variety ${key}`)
    writer.add('variety.registered', began, 'office', { varietyId, name, synonyms: [], use })
  }
  const party = (key: string, name: string, role: EntryBody<'party.registered'>['role']) =>
    writer.add('party.registered', began, 'office', {
      partyId: idOf(`party ${key}`),
      name,
      role,
      registrationNumber: null,
      note: '',
    })
  for (const crew of crews) party(crew.key, crew.name, 'crew')
  party('nethervale', 'Nethervale Plants', 'supplier')
  const places = [
    ['room 1', 'Cold room 1', 'room', true],
    ['room 2', 'Cold room 2', 'room', true],
    ['tank east', 'Tank east', 'tank', false],
    ['tank west', 'Tank west', 'tank', false],
    ['tank yard', 'Tank in the yard', 'tank', false],
    ['truck', 'Field truck', 'truck', false],
  ] as const
  for (const [key, name, placeKind, cooled] of places) {
    writer.add('place.registered', began, 'office', {
      ...{ placeId: idOf(`place ${key}`), name, placeKind, cooled },
      ...{ insidePlaceId: null, note: '' },
    })
  }
}

function registerSources(writer: DemoWriter, began: number, year: number): void {
  for (const source of sources) {
    writer.add('source.registered', began, 'office', {
      sourceId: idOf(`source ${source.key}`),
      level: 'block',
      parentSourceId: null,
      name: source.name,
      registryNumber: `SR-${source.key.toUpperCase()}`,
      varietyId: idOf(`variety ${source.variety}`),
      clone: source.clone,
      scheme: 'EU',
      class: source.class,
      plantedYear: 2012,
      originLotId: null,
      vine: null,
      note: '',
    })
    writer.add('source.tested', began + 60_000, 'office', {
      sourceId: idOf(`source ${source.key}`),
      agent: 'GLRaV-3',
      method: 'ELISA',
      laboratory: 'Demo virology laboratory',
      sampledOn: `${year - 1}-06-14`,
      pooledVines: 5,
      result: 'not detected',
      sampleReference: `${year - 1}-${source.key}`,
      note: '',
    })
  }
}

function layBlock(writer: DemoWriter, began: number, block: Block): DemoRow[] {
  const blockId = idOf(`block ${block.key}`)
  writer.add('block.registered', began, 'office', { blockId, name: block.name, note: '' })
  return Array.from({ length: block.rows }, (_, nr) => {
    const row: DemoRow = {
      rowId: idOf(`row ${block.key} ${nr + 1}`),
      label: String(nr + 1),
      positionCount: writer.chance.whole(block.positions[0], block.positions[1]),
      missing: [],
      block,
    }
    while (writer.chance.happens(0.6)) {
      const position = writer.chance.whole(2, row.positionCount - 1)
      if (!row.missing.includes(position)) row.missing.push(position)
    }
    row.missing.sort((a, b) => a - b)
    writer.add('row.laid_out', began, 'office', {
      ...{ rowId: row.rowId, blockId, label: row.label, sequence: nr + 1 },
      positionCount: row.positionCount,
      headAt: nr % 2 === 0 ? 'road end' : 'hedge end',
      missing: row.missing,
      sections: [section(block, row.positionCount)],
    })
    return row
  })
}

function section(block: Block, positionCount: number) {
  return {
    fromPosition: 1,
    toPosition: positionCount,
    plantedYear: block.plantedYear,
    layers: block.trunk.map((key, order) => ({
      role: order === 0 ? ('rootstock' as const) : ('interstock' as const),
      varietyId: idOf(`variety ${key}`),
      clone: null,
      origin: { kind: 'unknown' as const },
    })),
  }
}
