// What came to light after the demo's last spring: an infected source, mistakes, a vine chosen.
import { at } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import type { DemoRow } from './ground.ts'
import { idOf } from './setting.ts'

/** Writes the summer of `year`. */
export function workSummer(writer: DemoWriter, rows: DemoRow[], year: number): void {
  infectedSource(writer, year)
  mistakes(writer, year)
  chosenVine(writer, rows, year)
}

/** Long bench was clean when last tested, and is not: found after two springs of its wood. */
function infectedSource(writer: DemoWriter, year: number): void {
  const sourceId = idOf('source bench')
  const reported = at(year, 7, 8, 11)
  writer.add('source.tested', reported, 'office', {
    sourceId,
    agent: 'GLRaV-3',
    method: 'RT-PCR',
    laboratory: 'Demo virology laboratory',
    sampledOn: `${year}-06-22`,
    pooledVines: 5,
    result: 'detected',
    sampleReference: `${year}-bench-3`,
    note: 'two pools of six positive',
  })
  writer.add('source.standing_changed', reported + 600_000, 'office', {
    sourceId,
    standing: 'suspended',
    effectiveFrom: `${year}-07-08`,
    reason: 'GLRaV-3 detected',
  })
  writer.add('hold.placed', reported + 900_000, 'office', {
    holdId: idOf(`hold bench ${year}`),
    on: { kind: 'source', id: sourceId },
    agent: 'GLRaV-3',
    reason: 'positive test of 22 June',
  })
}

function mistakes(writer: DemoWriter, year: number): void {
  const wood = {
    lotId: idOf(`lot ${year % 100}-001`),
    bundleId: null,
    unit: 'stick' as const,
    count: 30,
  }
  const from = { kind: 'place' as const, id: idOf('place room 1') }
  const wrong = writer.add('wood.discarded', at(year, 5, 4, 9), 'store', {
    ...{ wood, from, reason: 'mould' },
  })
  writer.add('entry.withdrawn', at(year, 5, 4, 9.5), 'store', {
    entryId: wrong.id,
    reason: 'it was another lot; nothing of this one was thrown away',
  })
}

/** A strong Ostrel vine in Fellside is put on the register as a source vine. */
function chosenVine(writer: DemoWriter, rows: DemoRow[], year: number): void {
  const row = rows.find((candidate) => candidate.rowId === idOf('row fellside 20'))
  if (row === undefined) return
  writer.add('source.registered', at(year, 9, 2, 10), 'office', {
    sourceId: idOf('source chosen vine'),
    level: 'vine',
    parentSourceId: null,
    name: 'Fellside 20/14',
    registryNumber: null,
    varietyId: idOf('variety ostrel'),
    clone: '7',
    scheme: null,
    class: null,
    plantedYear: null,
    originLotId: null,
    vine: { rowId: row.rowId, position: 14 },
    note: 'even growth, chosen for its own wood next winter',
  })
}
