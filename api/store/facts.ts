// What entries about places, stays, baths and soaks state.
import { NIL_ID } from '#wire/basics.ts'
import type { Entry } from '#wire/entry.ts'
import { move, subjects } from '../journal/fact-rows.ts'
import type { FactRows, FactsOfKinds } from '../journal/fact-rows.ts'

type StoreKind =
  'place.registered' | 'stay.began' | 'bath.filled' | 'bath.emptied' | 'soak.began' | 'soak.ended'

export const storeFacts: FactsOfKinds<StoreKind> = {
  'place.registered': (entry) => ({
    place: [
      {
        entry_id: entry.id,
        place_id: entry.body.placeId,
        name: entry.body.name,
        place_kind: entry.body.placeKind,
        inside_place_id: entry.body.insidePlaceId,
        cooled: entry.body.cooled,
        note: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'place', id: entry.body.placeId }]),
  }),
  'stay.began': (entry) => {
    const { wood, from, placeId } = entry.body
    const place = { kind: 'place', id: placeId }
    return {
      movement: move(entry, 0, wood, from, place),
      entry_subject: subjects(entry, [...woodThings(wood), from, place]),
    }
  },
  'bath.filled': (entry) => ({
    bath: [
      {
        entry_id: entry.id,
        bath_id: entry.body.bathId,
        place_id: entry.body.placeId,
        water: entry.body.water,
        water_temp_c: entry.body.waterTempC,
        disinfectant: entry.body.disinfectant,
        litres: entry.body.litres,
        filled_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [
      { kind: 'bath', id: entry.body.bathId },
      { kind: 'place', id: entry.body.placeId },
    ]),
  }),
  'bath.emptied': (entry) => ({
    bath_end: [{ entry_id: entry.id, bath_id: entry.body.bathId, emptied_at: entry.occurredAt }],
    entry_subject: subjects(entry, [{ kind: 'bath', id: entry.body.bathId }]),
  }),
  'soak.began': (entry) => {
    const { wood, from, bathId } = entry.body
    const bath = { kind: 'bath', id: bathId }
    return {
      movement: move(entry, 0, wood, from, bath),
      soak: [soakRow(entry, 'began')],
      entry_subject: subjects(entry, [...woodThings(wood), from, bath]),
    }
  },
  'soak.ended': (entry) => {
    const { wood, bathId, to } = entry.body
    const bath = { kind: 'bath', id: bathId }
    return {
      movement: move(entry, 0, wood, bath, to),
      soak: [soakRow(entry, 'ended')],
      entry_subject: subjects(entry, [...woodThings(wood), bath, to]),
    }
  },
}

/** The lot and bundle that some wood is of, as subjects. */
export function woodThings(wood: { lotId: string; bundleId: string | null }) {
  return [
    { kind: 'lot', id: wood.lotId },
    { kind: 'bundle', id: wood.bundleId },
  ]
}

function soakRow(
  entry: Entry<'soak.began'> | Entry<'soak.ended'>,
  mark: 'began' | 'ended',
): NonNullable<FactRows['soak']>[number] {
  const { wood, bathId } = entry.body
  return {
    entry_id: entry.id,
    bath_id: bathId,
    lot_id: wood.lotId,
    bundle_id: wood.bundleId ?? NIL_ID,
    mark,
    unit: wood.unit,
    count: wood.count,
    occurred_at: entry.occurredAt,
  }
}
