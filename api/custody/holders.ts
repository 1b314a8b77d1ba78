// Who can have wood in hand: crews, and the people who work here.
import type { Database } from '../../db/connect.ts'
import { listParties, listPeople } from '../nursery/read.ts'
import type { FieldProblem } from '../platform/errors.ts'

export type Holder = { holderId: string; name: string; what: 'crew' | 'person' }

/** Crews, then people who have not left, each by name. */
export async function readHolders(db: Database): Promise<Holder[]> {
  const [crews, people] = await Promise.all([
    listParties(db, 'crew'),
    listPeople(db, { current: true }),
  ])
  return [
    ...crews.map(({ party_id, name }): Holder => ({ holderId: party_id, name, what: 'crew' })),
    ...people.map(({ person_id, name }): Holder => ({ holderId: person_id, name, what: 'person' })),
  ]
}

/** Only a crew, or a person who is still here, can be handed wood. */
export function holderProblems(
  holders: readonly Holder[],
  holderId: string,
  field: string,
): FieldProblem[] {
  if (holders.some((holder) => holder.holderId === holderId)) return []
  return [{ field, message: 'this is no crew or person that works here: choose one' }]
}
