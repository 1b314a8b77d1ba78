// A dossier tells how warm the wood was kept, by whose readings, and where nobody can know.
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { DossierContent } from '../../api/dossier/dossier-shape.ts'
import { makeDossier } from '../../api/dossier/make.ts'
import { signerFor } from '../../api/journal/keep-signing.ts'
import { proofOffice } from '../journal/proof-office.ts'
import type { ProofOffice } from '../journal/proof-office.ts'
import { RecallScene } from '../trace/recall-scene.ts'
import { indexesIn, tableOf } from './read-content.ts'

const scene = new RecallScene('warmth')
const { writer } = scene
const cutDay = Date.parse('2027-01-10T00:00:00Z')
const storedDays = 25
const warmDay = 10
const dayMs = 86_400_000
let office: ProofOffice
let read: DossierContent
let unread: DossierContent

beforeAll(async () => {
  office = await proofOffice('vines.example/journal', '2027-06-01T08:00:00Z')
  scene.row()
  scene.source('terrace')
  place('room')
  place('other room')
  logger('room')
  scene.cut('in the room', 'terrace')
  cutInto('elsewhere', 'other room')
  for (let day = 0; day <= storedDays; day += 1) readings(day, day === warmDay ? 15 : 1)
  scene.wait(24 * storedDays)
  scene.graft('in the room', 1)
  scene.graft('elsewhere', 2)
  writer.add('policy.set', {
    key: 'wakingMaxHours',
    value: 12,
    source: 'our own trials',
    effectiveFrom: '2027-01-01',
  })
  await scene.record(office.services.db)
  read = await dossierOf('in the room')
  unread = await dossierOf('elsewhere')
})
afterAll(() => office.drop())

function place(name: string): void {
  writer.add('place.registered', {
    placeId: scene.id(name),
    name,
    placeKind: 'room',
    insidePlaceId: null,
    cooled: true,
    note: '',
  })
}

function logger(placeName: string): void {
  writer.add('logger.registered', {
    loggerId: scene.id('logger'),
    name: 'Logger 7',
    serial: null,
    placeId: scene.id(placeName),
    fromAt: new Date(cutDay).toISOString(),
    note: '',
  })
}

/** One day read each half hour, all of it at one temperature in °C. */
function readings(day: number, tempC: number): void {
  const count = 48
  writer.add('temperature.logged', {
    loggerId: scene.id('logger'),
    startAt: new Date(cutDay + day * dayMs).toISOString(),
    seconds: Array.from({ length: count }, (_, nr) => nr * 1800),
    centiC: Array.from({ length: count }, () => tempC * 100),
    humidityTenths: null,
    leftOut: 0,
  })
}

function cutInto(lot: string, room: string): void {
  writer.add('lot.cut', {
    lotId: scene.id(lot),
    reference: lot,
    material: 'scion wood',
    varietyId: scene.id('variety'),
    clone: null,
    scheme: null,
    class: null,
    harvestYear: 2026,
    budsPerStick: 6,
    sourceId: scene.id('terrace'),
    sticks: 100,
    bundles: [],
    to: { kind: 'place', id: scene.id(room) },
    note: '',
  })
}

async function dossierOf(lot: string): Promise<DossierContent> {
  const { services } = office
  const subject = { kind: 'lot', id: scene.id(lot), position: 0 } as const
  const signer = await signerFor(services)
  return (await makeDossier(services.db, signer, subject, services.clock.now())).content
}

const warmthTitle = 'How warm the wood was kept'
const ruleOf = (content: DossierContent) =>
  content.rules.find(({ rule }) => rule.includes('kept cold enough'))

it('tells age by readings: a day at 15 °C counts for 4.2 at 1 °C with a Q10 of 2.8', () => {
  // Q10 law: rate = 2.8 ^ ((15 - 1) / 10) = 4.227. Source of 2.8: see thermalQ10.
  const [cells = []] = tableOf(read, warmthTitle)
  const [, , calendar, age, covered, lowest, highest, excursions] = cells
  expect(Number(calendar)).toBeCloseTo(storedDays, 0)
  const rate = 2.8 ** 1.4
  expect(Math.abs(Number(age) - (storedDays - 1 + rate))).toBeLessThan(0.3)
  expect([covered, lowest, highest, excursions]).toEqual(['100 %', '1', '15', '1'])
})

it('tells each excursion with its place and the entries of its readings', () => {
  const [cells = []] = tableOf(read, 'Excursions of temperature')
  expect(cells[1]).toBe('warm')
  expect(cells[2]).toMatch(/^2027-01-(19 23|20 00)/)
  expect(cells.slice(4)).toEqual(['15', 'room'])
  const table = read.tables.find(({ title }) => title.startsWith('Excursions'))
  const named = table?.rows.flatMap(({ entries }) => entries) ?? []
  const kinds = read.proof.entries
    .filter(({ index }) => named.includes(index))
    .map(({ entry }) => (JSON.parse(entry) as { kind: string }).kind)
  expect(new Set(kinds)).toEqual(new Set(['place.registered', 'temperature.logged']))
})

it('is not known where no logger read, and says so in the table and in the answer', () => {
  const [cells = []] = tableOf(unread, warmthTitle)
  expect(cells[3]).toBe('not known: no logger read where it lay')
  expect(cells[4]).toBe('0 %')
  expect(tableOf(unread, 'Excursions of temperature')).toEqual([])
  expect(ruleOf(unread)?.result).toBe('not known')
  expect(ruleOf(unread)?.because).toContain('no logger read where it lay')
})

it('names each number’s source, or that it has none, and the entry that set it', () => {
  const numbers = tableOf(read, 'The numbers by which')
  const lineOf = (key: string) => numbers.find(([name]) => name === key) ?? []
  expect(lineOf('thermalQ10')[3]).toContain('Gardea')
  expect(lineOf('readingGapMinutes')[3]).toBe('common practice, no source')
  expect(lineOf('wakingMaxHours').slice(1, 3)).toEqual(['12', 'hours'])
  expect(lineOf('wakingMaxHours')[3]).toContain('our own trials')
  const row = read.tables
    .flatMap(({ rows }) => rows)
    .find(({ cells }) => cells[0] === 'wakingMaxHours')
  expect(row?.entries).toHaveLength(1)
  expect(indexesIn(read)).toContain(row?.entries[0])
})

it('by the nursery’s own limit a day above the waking limit asks for care', () => {
  expect(ruleOf(read)).toMatchObject({ result: 'not known' })
  expect(ruleOf(read)?.citation).toContain('wakingMaxHours: ')
  const verdicts = tableOf(read, 'Storage and soaking on the days of grafting')
  expect(
    verdicts.some(([, , verdict, words]) => verdict === 'caution' && /8 °C/.test(words ?? '')),
  ).toBe(true)
})
