// An invented nursery that a phone can work in today: a bundle soaked right, a planned row, tags.
import { randomBytes } from 'node:crypto'
import { makeTagCode } from '../../api/trade/tag-code.ts'
import type { Draft } from '../../api/journal/desk.ts'
import { newId } from '../../api/platform/clock.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS

/** Ids of everything in it. */
export const field = {
  rootstock: newId(),
  ruvello: newId(),
  dunmerle: newId(),
  block: newId(),
  row: newId(),
  otherRow: newId(),
  source: newId(),
  room: newId(),
  truck: newId(),
  tank: newId(),
  bath: newId(),
  crew: newId(),
  knife: newId(),
  lot: newId(),
  bundle: newId(),
  otherLot: newId(),
  otherBundle: newId(),
}

/** Codes of the tags that hang there, and of tags that are printed and not bound yet. */
export const tags = {
  bundle: newCode(),
  otherBundle: newCode(),
  row: newCode(),
  source: newCode(),
  room: newCode(),
  tank: newCode(),
  knife: newCode(),
  free: Array.from({ length: 8 }, newCode),
}

/** Positions of the row without a vine. */
export const missing = [7, 21, 22]

function newCode(): string {
  return makeTagCode((count) => randomBytes(count))
}

/** All of it as entries, told by `now`; the wood came out of the water an hour ago. */
export function fieldDrafts(now: Date, holderId: string): Draft[] {
  const at = (agoMs: number) => new Date(now.getTime() - agoMs)
  return [
    ...setting(),
    ...rows(now),
    ...woodDrafts(at, holderId),
    {
      kind: 'tag.printed',
      occurredAt: at(30 * DAY_MS),
      body: {
        printId: newId(),
        payload: 'field tag',
        form: 'roll-100x25',
        codes: [...Object.values(tags).flat()],
        reprintReason: null,
      },
    },
    bound(tags.bundle, 'bundle', field.bundle),
    bound(tags.otherBundle, 'bundle', field.otherBundle),
    bound(tags.row, 'row', field.row),
    bound(tags.source, 'source', field.source),
    bound(tags.room, 'place', field.room),
    bound(tags.tank, 'place', field.tank),
    bound(tags.knife, 'knife', field.knife),
  ]
}

function bound(code: string, kind: 'bundle' | 'row' | 'source' | 'place' | 'knife', id: string) {
  return { kind: 'tag.bound', body: { code, thing: { kind, id } } } satisfies Draft
}

function setting(): Draft[] {
  const variety = (varietyId: string, name: string, use: 'scion' | 'rootstock'): Draft => ({
    kind: 'variety.registered',
    body: { varietyId, name, synonyms: [], use },
  })
  const place = (placeId: string, name: string, placeKind: 'room' | 'truck' | 'tank'): Draft => ({
    kind: 'place.registered',
    body: {
      ...{ placeId, name, placeKind, insidePlaceId: null, note: '' },
      cooled: placeKind === 'room',
    },
  })
  return [
    variety(field.rootstock, 'QM 14', 'rootstock'),
    variety(field.ruvello, 'Ruvello', 'scion'),
    variety(field.dunmerle, 'Dunmerle', 'scion'),
    place(field.room, 'Cold room 1', 'room'),
    place(field.truck, 'Truck', 'truck'),
    place(field.tank, 'Tank east', 'tank'),
    {
      kind: 'party.registered',
      body: {
        ...{ partyId: field.crew, name: 'Crew Heron', role: 'crew' as const },
        ...{ registrationNumber: null, note: '' },
      },
    },
    {
      kind: 'source.registered',
      body: {
        ...{ sourceId: field.source, level: 'block' as const, parentSourceId: null },
        ...{ name: 'Top terrace', registryNumber: null, varietyId: field.ruvello, clone: '4' },
        ...{ scheme: null, class: 'certified', plantedYear: 2010, originLotId: null },
        ...{ vine: null, note: '' },
      },
    },
    {
      kind: 'source.standing_changed',
      body: {
        ...{ sourceId: field.source, standing: 'good' as const },
        ...{ effectiveFrom: '2020-01-01', reason: 'inspected' },
      },
    },
  ]
}

function rows(now: Date): Draft[] {
  const row = (rowId: string, sequence: number, gaps: number[]): Draft => ({
    kind: 'row.laid_out',
    body: {
      ...{ rowId, blockId: field.block, label: String(sequence), sequence, positionCount: 60 },
      ...{ headAt: 'the track', missing: gaps },
      sections: [
        {
          ...{ fromPosition: 1, toPosition: 60, plantedYear: 2015 },
          layers: [
            {
              ...{ role: 'rootstock' as const, varietyId: field.rootstock, clone: null },
              origin: { kind: 'unknown' },
            },
          ],
        },
      ],
    },
  })
  return [
    { kind: 'block.registered', body: { blockId: field.block, name: 'Upper', note: '' } },
    row(field.row, 4, missing),
    row(field.otherRow, 5, []),
    {
      kind: 'row.planned',
      body: {
        ...{ rowId: field.row, fromPosition: 1, toPosition: 60, season: now.getFullYear() },
        ...{ varietyId: field.ruvello, clone: '4', class: null, method: 'chip bud' },
        budsPerVine: 2,
      },
    },
  ]
}

/** Cut, kept cold, soaked for a day and more, drained an hour ago, handed to the grafter. */
function woodDrafts(at: (agoMs: number) => Date, holderId: string): Draft[] {
  const room = { kind: 'place' as const, id: field.room }
  const hand = { kind: 'holder' as const, id: holderId }
  const lot = (lotId: string, reference: string, varietyId: string, bundleId: string): Draft => ({
    kind: 'lot.cut',
    occurredAt: at(20 * DAY_MS),
    body: {
      ...{ lotId, reference, material: 'scion wood' as const, varietyId, clone: '4' },
      ...{ scheme: null, class: 'certified', harvestYear: at(0).getFullYear() - 1 },
      ...{ budsPerStick: 6, sourceId: field.source, sticks: 30, note: '', to: room },
      bundles: [{ bundleId, unit: 'stick', count: 30 }],
    },
  })
  const wood = { lotId: field.lot, bundleId: field.bundle, unit: 'stick' as const, count: 30 }
  return [
    lot(field.lot, '26-014', field.ruvello, field.bundle),
    lot(field.otherLot, '26-015', field.dunmerle, field.otherBundle),
    {
      kind: 'bath.filled',
      occurredAt: at(30 * HOUR_MS),
      body: {
        ...{ bathId: field.bath, placeId: field.tank, water: 'well', waterTempC: 12 },
        ...{ disinfectant: null, litres: 400 },
      },
    },
    {
      kind: 'soak.began',
      occurredAt: at(28 * HOUR_MS),
      body: { wood, from: room, bathId: field.bath },
    },
    {
      kind: 'soak.ended',
      occurredAt: at(HOUR_MS),
      body: { wood, bathId: field.bath, to: hand },
    },
    { kind: 'bath.emptied', occurredAt: at(HOUR_MS / 2), body: { bathId: field.bath } },
  ]
}
