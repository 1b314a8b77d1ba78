// The bath that a tag leads to: its own, or that of the tank it stands in; and what lies in it.
import type { Found, Phone, PhoneBath } from '../../phone.ts'
import { linesOf } from './basket.ts'
import type { Line } from './basket.ts'

/** A bath that is not emptied yet, or null. */
export function bathOf(found: Found | null, phone: Phone): PhoneBath | null {
  if (found === null || found.what !== 'thing') return null
  const { kind, id } = found.thing
  if (kind === 'bath') return phone.snapshot.baths().find((bath) => bath.id === id) ?? null
  if (kind !== 'place') return null
  return phone.snapshot.baths().find((bath) => bath.placeId === id) ?? null
}

/** All wood that the phone knows to lie in a bath. */
export function woodInBath(bath: PhoneBath, phone: Phone): Line[] {
  return phone.snapshot
    .lots()
    .flatMap((lot) =>
      linesOf(
        lot,
        { lotId: lot.lotId, bundleId: null },
        phone.settings.personId,
        (account) => account.kind === 'bath' && account.id === bath.id,
      ),
    )
}
