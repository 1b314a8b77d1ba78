// An invented nursery with places, tanks, sources, a supplier and a crew, for tests of wood pages.
import type { Draft } from '../../api/journal/desk.ts'
import { newId } from '../../api/platform/clock.ts'
import type { OfficeApp } from '../office-app.ts'

/** The clock of these tests stands here. */
export const sceneNow = new Date('2027-02-10T12:00:00Z')

/** Ids of what the scene has. */
export type Scene = {
  variety: string
  otherVariety: string
  source: string
  otherSource: string
  supplier: string
  crew: string
  otherCrew: string
  room: string
  rack: string
  bin: string
  shed: string
  tank: string
  otherTank: string
}

/** Records everything but wood; the nursery's times are those of Vienna, an hour ahead of UTC. */
export async function recordScene(office: OfficeApp): Promise<Scene> {
  const keys = ['variety', 'otherVariety', 'source', 'otherSource', 'supplier', 'crew', 'otherCrew']
  const more = ['room', 'rack', 'bin', 'shed', 'tank', 'otherTank']
  const scene = Object.fromEntries([...keys, ...more].map((key) => [key, newId()])) as Scene
  const drafts = [...ground(scene), ...sources(scene), ...places(scene)]
  await office.record(drafts.map((draft) => ({ ...draft, occurredAt: at('2027-01-02T08:00') })))
  return scene
}

/** An instant of UTC from its date and time. */
export const at = (text: string) => new Date(`${text}:00Z`)

/** A lot of 240 sticks of 6 buds, two bundles of 100 and 40 loose, in the room unless said. */
export async function recordLot(
  office: OfficeApp,
  scene: Scene,
  reference: string,
  changes: Partial<Extract<Draft, { kind: 'lot.cut' }>['body']> = {},
  occurredAt = at('2027-01-20T09:00'),
): Promise<{ lotId: string; bundleIds: string[] }> {
  const lotId = newId()
  const bundleIds = [newId(), newId()]
  await office.record([
    {
      kind: 'lot.cut',
      occurredAt,
      body: {
        lotId,
        reference,
        material: 'scion wood',
        varietyId: scene.variety,
        clone: '12',
        scheme: 'EU',
        class: 'certified',
        harvestYear: 2026,
        budsPerStick: 6,
        sourceId: scene.source,
        sticks: 240,
        bundles: bundleIds.map((bundleId) => ({ bundleId, unit: 'stick' as const, count: 100 })),
        to: { kind: 'place', id: scene.room },
        note: '',
        ...changes,
      },
    },
  ])
  return { lotId, bundleIds }
}

function ground(scene: Scene): Draft[] {
  const party = (partyId: string, name: string, role: 'supplier' | 'crew'): Draft => ({
    kind: 'party.registered',
    body: { partyId, name, role, registrationNumber: null, note: '' },
  })
  const variety = (varietyId: string, name: string): Draft => ({
    kind: 'variety.registered',
    body: { varietyId, name, synonyms: [], use: 'scion' },
  })
  return [
    {
      kind: 'nursery.described',
      body: {
        name: 'Rebschule Sandleiten',
        address: 'Am Hang 3',
        country: 'AT',
        operatorNumber: null,
        certificationBody: null,
        labelHost: null,
        timeZone: 'Europe/Vienna',
      },
    },
    variety(scene.variety, 'Alba Fina'),
    variety(scene.otherVariety, 'Negra Sola'),
    party(scene.supplier, 'Vivero del Llano', 'supplier'),
    party(scene.crew, 'Crew north', 'crew'),
    party(scene.otherCrew, 'Crew south', 'crew'),
  ]
}

function sources(scene: Scene): Draft[] {
  const source = (sourceId: string, name: string, varietyId: string): Draft => ({
    kind: 'source.registered',
    body: {
      sourceId,
      level: 'block',
      parentSourceId: null,
      name,
      registryNumber: null,
      varietyId,
      clone: '12',
      scheme: 'EU',
      class: 'certified',
      plantedYear: 2014,
      originLotId: null,
      vine: null,
      note: '',
    },
  })
  const standing = (sourceId: string): Draft => ({
    kind: 'source.standing_changed',
    body: { sourceId, standing: 'good', effectiveFrom: '2020-01-01', reason: 'registered' },
  })
  return [
    source(scene.source, 'Hill block', scene.variety),
    source(scene.otherSource, 'Dale block', scene.otherVariety),
    standing(scene.source),
    standing(scene.otherSource),
  ]
}

function places(scene: Scene): Draft[] {
  type Kind = Extract<Draft, { kind: 'place.registered' }>['body']['placeKind']
  const place = (
    placeId: string,
    name: string,
    placeKind: Kind,
    insidePlaceId: string | null,
    cooled = false,
  ): Draft => ({
    kind: 'place.registered',
    body: { placeId, name, placeKind, insidePlaceId, cooled, note: '' },
  })
  return [
    place(scene.room, 'Cold room', 'room', null, true),
    place(scene.rack, 'Rack A', 'rack', scene.room),
    place(scene.bin, 'Bin 3', 'bin', scene.rack),
    place(scene.shed, 'Grafting shed', 'bench', null),
    place(scene.tank, 'Tank 1', 'tank', null),
    place(scene.otherTank, 'Tank 2', 'tank', null),
  ]
}
