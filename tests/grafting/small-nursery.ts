// An invented nursery for tests: varieties, a source, lots in a cold room, a crew, two rows.
import type { Draft } from '../../api/journal/desk.ts'
import { newId } from '../../api/platform/clock.ts'
import type { OfficeApp } from '../office-app.ts'
import { idOf } from '../sim/season.ts'

/** Ids of the things that every such nursery has. */
export const ids = {
  rootstock: idOf('variety Duro 12'),
  white: idOf('variety Alba Fina'),
  red: idOf('variety Negra Sola'),
  block: idOf('block Lower bank'),
  row1: idOf('row 1'),
  row2: idOf('row 2'),
  source: idOf('source block Hill'),
  redSource: idOf('source block Dale'),
  room: idOf('room one'),
  crew: idOf('crew north'),
  whiteLot: idOf('lot W-1'),
  whiteLot2: idOf('lot W-2'),
  redLot: idOf('lot R-1'),
  whiteBundle: idOf('bundle of lot W-1'),
}

type RowBody = Extract<Draft, { kind: 'row.laid_out' }>['body']

/** A layout of row 1, 60 positions on the rootstock, changed as told. */
export function layout(changes: Partial<RowBody> = {}): RowBody {
  const positionCount = changes.positionCount ?? 60
  return {
    rowId: ids.row1,
    blockId: ids.block,
    label: '1',
    sequence: 1,
    positionCount,
    headAt: 'the track',
    missing: [],
    sections: [
      {
        fromPosition: 1,
        toPosition: positionCount,
        plantedYear: 2018,
        layers: [
          { role: 'rootstock', varietyId: ids.rootstock, clone: null, origin: { kind: 'unknown' } },
        ],
      },
    ],
    ...changes,
  }
}

/** Records the nursery as of January 2027; lots hold 100 sticks of 5 buds, handed to the crew. */
export async function smallNursery(office: OfficeApp): Promise<void> {
  const at = (day: string) => new Date(`${day}T08:00:00Z`)
  await office.record([
    ...varieties(),
    {
      kind: 'place.registered',
      body: {
        placeId: ids.room,
        name: 'Room one',
        placeKind: 'room',
        insidePlaceId: null,
        cooled: true,
        note: '',
      },
    },
    {
      kind: 'party.registered',
      body: {
        partyId: ids.crew,
        name: 'North crew',
        role: 'crew',
        registrationNumber: null,
        note: '',
      },
    },
    { kind: 'block.registered', body: { blockId: ids.block, name: 'Lower bank', note: '' } },
    { kind: 'row.laid_out', body: layout(), occurredAt: at('2027-01-04') },
    {
      kind: 'row.laid_out',
      body: layout({ rowId: ids.row2, label: '2', sequence: 2, positionCount: 40, missing: [17] }),
      occurredAt: at('2027-01-04'),
    },
    ...source(ids.source, 'Hill block', ids.white, '12'),
    ...source(ids.redSource, 'Dale block', ids.red, null),
    ...lot(ids.whiteLot, 'W-1', ids.white, '12', ids.source),
    ...lot(ids.whiteLot2, 'W-2', ids.white, '12', ids.source),
    ...lot(ids.redLot, 'R-1', ids.red, null, ids.redSource),
  ])
}

function varieties(): Draft[] {
  const use = { rootstock: 'rootstock', white: 'scion', red: 'scion' } as const
  const names = { rootstock: 'Duro 12', white: 'Alba Fina', red: 'Negra Sola' }
  return (['rootstock', 'white', 'red'] as const).map((key) => ({
    kind: 'variety.registered',
    body: { varietyId: ids[key], name: names[key], synonyms: [], use: use[key] },
  }))
}

function source(sourceId: string, name: string, varietyId: string, clone: string | null): Draft[] {
  return [
    {
      kind: 'source.registered',
      body: {
        sourceId,
        level: 'block',
        parentSourceId: null,
        name,
        registryNumber: null,
        varietyId,
        clone,
        scheme: 'EU',
        class: 'certified',
        plantedYear: 2010,
        originLotId: null,
        vine: null,
        note: '',
      },
    },
    {
      kind: 'source.standing_changed',
      body: { sourceId, standing: 'good', effectiveFrom: '2020-01-01', reason: 'inspected' },
    },
  ]
}

function lot(
  lotId: string,
  reference: string,
  varietyId: string,
  clone: string | null,
  sourceId: string,
): Draft[] {
  const bundles =
    lotId === ids.whiteLot ? [{ bundleId: ids.whiteBundle, unit: 'stick' as const, count: 20 }] : []
  const room = { kind: 'place' as const, id: ids.room }
  return [
    {
      kind: 'lot.cut',
      occurredAt: new Date('2027-02-01T09:00:00Z'),
      body: {
        lotId,
        reference,
        material: 'scion wood',
        varietyId,
        clone,
        scheme: 'EU',
        class: 'certified',
        harvestYear: 2026,
        budsPerStick: 5,
        sourceId,
        sticks: 100,
        bundles,
        to: room,
        note: '',
      },
    },
    {
      kind: 'wood.handed_over',
      occurredAt: new Date('2027-04-01T06:00:00Z'),
      body: {
        wood: { lotId, bundleId: null, unit: 'stick', count: 40 },
        from: room,
        toHolderId: ids.crew,
        note: '',
      },
    },
  ]
}

/** A graft at a row's position, on a day at 09:00 UTC. */
export function graft(
  position: number,
  day: string,
  changes: Partial<Extract<Draft, { kind: 'graft.made' }>['body']> & { rowId?: string } = {},
): Draft {
  const { rowId = ids.row1, ...rest } = changes
  return {
    kind: 'graft.made',
    occurredAt: new Date(`${day}T09:00:00Z`),
    body: {
      vine: { rowId, position },
      lotId: ids.whiteLot,
      bundleId: null,
      from: { kind: 'holder', id: ids.crew },
      method: 'chip bud',
      budCount: 2,
      knifeId: null,
      tie: null,
      note: '',
      ...rest,
    },
  }
}

/** A look at one vine, on a day at 15:00 UTC: [graft id or null, growing, callused, failed]. */
export function check(
  position: number,
  day: string,
  results: [string | null, number, number, number][],
  rowId = ids.row1,
): Draft {
  return {
    kind: 'take.checked',
    occurredAt: new Date(`${day}T15:00:00Z`),
    body: {
      vine: { rowId, position },
      results: results.map(([graftId, growing, callused, failed]) => ({
        graftId,
        growing,
        callused,
        failed,
      })),
      shootLengthMm: null,
      note: '',
    },
  }
}

/** A plan of 2027 for a stretch of row 1, changed as told. */
export function plan(
  changes: Partial<Extract<Draft, { kind: 'row.planned' }>['body']> = {},
): Draft {
  return {
    kind: 'row.planned',
    body: {
      rowId: ids.row1,
      fromPosition: 1,
      toPosition: 60,
      season: 2027,
      varietyId: ids.white,
      clone: '12',
      class: null,
      method: 'chip bud',
      budsPerVine: 2,
      ...changes,
    },
  }
}

/** A person of the crew, written into the people table. */
export async function crewPerson(office: OfficeApp, name: string): Promise<string> {
  const personId = newId()
  const { db } = office.services
  await db.insertInto('person').values({ person_id: personId, name }).execute()
  return personId
}
