// The invented nursery of the demo: its people, ground, varieties and sources.
import { createHash } from 'node:crypto'

/** An id for a name of the demo: always the same. */
export function idOf(name: string): string {
  const hex = createHash('sha256').update(`demo ${name}`).digest('hex')
  const tail = `8${hex.slice(17, 20)}-${hex.slice(20, 32)}`
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-4${hex.slice(13, 16)}-${tail}`
}

export const people = [
  { key: 'office', name: 'Ines Calder', role: 'office' },
  { key: 'store', name: 'Tomas Wren', role: 'lead hand' },
  { key: 'heron', name: 'Bea Holm', role: 'crew' },
  { key: 'finch', name: 'Ravi Sorn', role: 'crew' },
  { key: 'plover', name: 'Lena Quist', role: 'crew' },
] as const

export type PersonKey = (typeof people)[number]['key']

/** Each writes with a device of its own. */
export const devices: Record<PersonKey, string> = {
  office: 'Office computer',
  store: 'Cold store phone',
  heron: 'Heron phone',
  finch: 'Finch phone',
  plover: 'Plover phone',
}

export const crews = [
  { key: 'heron', name: 'Crew Heron' },
  { key: 'finch', name: 'Crew Finch' },
  { key: 'plover', name: 'Crew Plover' },
] as const

export type CrewKey = (typeof crews)[number]['key']

/** Scion varieties with the share of buds that take when nothing goes wrong. */
export const scions = {
  ruvello: { name: 'Ruvello', synonyms: ['Ruvel'], budTake: 0.86 },
  tarsine: { name: 'Tarsine', synonyms: [], budTake: 0.82 },
  morvane: { name: 'Morvane', synonyms: ['Morvan blue'], budTake: 0.8 },
  ostrel: { name: 'Ostrel', synonyms: [], budTake: 0.84 },
} as const

export type ScionKey = keyof typeof scions

/** What stands in the ground already. */
export const standing = {
  dunmerle: { name: 'Dunmerle', use: 'scion' },
  grenholt: { name: 'Grenholt', use: 'scion' },
  qm14: { name: 'QM 14', use: 'rootstock' },
  fr3: { name: 'FR 3', use: 'rootstock' },
} as const

export type StandingKey = keyof typeof standing

export const sources = [
  { key: 'top', name: 'Top terrace', variety: 'ruvello', clone: '4', class: 'certified' },
  { key: 'quarry', name: 'Quarry face', variety: 'tarsine', clone: '11', class: 'certified' },
  { key: 'bench', name: 'Long bench', variety: 'morvane', clone: '2', class: 'certified' },
  { key: 'wall', name: 'Orchard wall', variety: 'ostrel', clone: '7', class: 'certified' },
  { key: 'mill', name: 'Mill strip', variety: 'ruvello', clone: '9', class: 'standard' },
  { key: 'stock', name: 'Stock rows', variety: 'qm14', clone: null, class: 'certified' },
] as const

export type SourceKey = (typeof sources)[number]['key']

/** Blocks with their rows; a plan says which source's wood goes on which rows, in which season. */
export const blocks = [
  {
    key: 'upper',
    name: 'Upper',
    rows: 32,
    positions: [84, 96],
    trunk: ['qm14', 'dunmerle'],
    plantedYear: 2008,
    plans: [
      { season: 0, fromRow: 1, toRow: 16, source: 'top' },
      { season: 0, fromRow: 17, toRow: 32, source: 'quarry' },
    ],
  },
  {
    key: 'fellside',
    name: 'Fellside',
    rows: 30,
    positions: [98, 102],
    trunk: ['fr3', 'grenholt'],
    plantedYear: 2006,
    plans: [
      { season: 0, fromRow: 1, toRow: 15, source: 'bench' },
      { season: 0, fromRow: 16, toRow: 30, source: 'wall' },
    ],
  },
  {
    key: 'riverside',
    name: 'Riverside',
    rows: 40,
    positions: [86, 92],
    trunk: ['qm14', 'dunmerle'],
    plantedYear: 2011,
    plans: [
      { season: 1, fromRow: 1, toRow: 20, source: 'mill' },
      { season: 1, fromRow: 21, toRow: 30, source: 'bench' },
      { season: 1, fromRow: 31, toRow: 40, source: 'quarry' },
    ],
  },
  {
    key: 'hill',
    name: 'Hill',
    rows: 24,
    positions: [78, 82],
    trunk: ['fr3', 'grenholt', 'dunmerle'],
    plantedYear: 2004,
    plans: [
      { season: 1, fromRow: 1, toRow: 12, source: 'wall' },
      { season: 1, fromRow: 13, toRow: 24, source: 'top' },
    ],
  },
] as const

export type Block = (typeof blocks)[number]

/** Which lots are cut in which winter: source, how many lots, and the room they go to. */
export const cuts = [
  { season: 0, source: 'top', lots: 4, room: 'room 1' },
  { season: 0, source: 'quarry', lots: 4, room: 'room 1' },
  { season: 0, source: 'bench', lots: 4, room: 'room 2' },
  { season: 0, source: 'wall', lots: 4, room: 'room 2' },
  { season: 1, source: 'mill', lots: 5, room: 'room 1' },
  { season: 1, source: 'bench', lots: 3, room: 'room 1' },
  { season: 1, source: 'quarry', lots: 4, room: 'room 1' },
  { season: 1, source: 'wall', lots: 3, room: 'room 2' },
  { season: 1, source: 'top', lots: 4, room: 'room 2' },
] as const

/** Sticks of every lot, the buds on each, and how many sticks are tied in a bundle. */
export const sticksPerLot = 300
export const sticksPerBundle = 100
export const budsPerStick = 6
