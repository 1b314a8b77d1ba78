/** @jsxImportSource preact */
// The few facts that matter at the moment of scanning; all the rest is in look.tsx.
import type { ThingShape } from '#wire/basics.ts'
import type { Phone } from '../../phone.ts'
import { Facts } from '../parts.tsx'
import { useSpeaker } from '../speak.tsx'
import { bathRows, bundleRows, leftRows, placeRows, rowRows, sourceRows } from './fact-rows.ts'
import type { FactRow } from './fact-rows.ts'

export function ThingFacts({ phone, thing }: { phone: Phone; thing: ThingShape }) {
  const speaker = useSpeaker()
  const rows = rowsOf()
  return rows.length === 0 ? null : <Facts rows={rows} />

  function rowsOf(): FactRow[] {
    switch (thing.kind) {
      case 'lot':
        return leftRows(phone.snapshot.lot(thing.id), speaker)
      case 'bundle':
        return bundleRows(thing.id, phone, speaker)
      case 'row':
        return rowRows(thing.id, phone, speaker)
      case 'place':
        return placeRows(thing.id, phone, speaker)
      case 'bath':
        return bathRows(thing.id, phone, speaker)
      case 'source':
        return sourceRows(thing.id, phone, speaker)
      case 'knife':
        return []
    }
  }
}
