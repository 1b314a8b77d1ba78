// Entries about where wood lies and what water it stood in.
import { z } from 'zod'
import { Account, Id, Name, Note, Wood } from '../basics.ts'

export const storeKinds = {
  /** A room, rack, bin, tank, truck or bench is made known; a later one corrects it. */
  'place.registered': {
    v: 1,
    body: z.strictObject({
      placeId: Id,
      name: Name,
      placeKind: z.enum(['room', 'rack', 'bin', 'tank', 'truck', 'bench', 'field']),
      insidePlaceId: Id.nullable(),
      cooled: z.boolean(),
      note: Note,
    }),
  },
  /** Wood comes to lie in a place. */
  'stay.began': { v: 1, body: z.strictObject({ wood: Wood, from: Account, placeId: Id }) },
  /** A tank is filled: a new bath. */
  'bath.filled': {
    v: 1,
    body: z.strictObject({
      bathId: Id,
      placeId: Id.describe('the tank'),
      water: Name.describe('where the water came from'),
      waterTempC: z.number().min(-5).max(70).nullable(),
      disinfectant: Name.nullable(),
      litres: z.int().min(1).max(100_000).nullable(),
    }),
  },
  /** The tank is emptied: this bath is over. */
  'bath.emptied': { v: 1, body: z.strictObject({ bathId: Id }) },
  /** Wood goes into a bath. */
  'soak.began': { v: 1, body: z.strictObject({ wood: Wood, from: Account, bathId: Id }) },
  /** Wood comes out of a bath. */
  'soak.ended': { v: 1, body: z.strictObject({ wood: Wood, bathId: Id, to: Account }) },
} as const
