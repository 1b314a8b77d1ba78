// Looks once more, just before recording, whether chosen wood is still where it was seen.
import type { Database } from '../../db/connect.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { nameOf, woodField } from './choose-wood.ts'
import type { ChosenWood } from './choose-wood.ts'
import { readPositions } from './positions.ts'

/** One problem for each choice that is no longer there in full. */
export async function goneProblems(
  db: Database,
  chosen: readonly ChosenWood[],
  zone: string,
): Promise<FieldProblem[]> {
  const lotIds = [...new Set(chosen.map(({ position }) => position.lotId))]
  const { positions } = await readPositions(db, zone, { lotIds })
  const now = new Map(positions.map((position) => [position.key, position]))
  return chosen.flatMap(({ position, sticks, buds }) => {
    const there = now.get(position.key)
    if (there !== undefined && there.sticks >= sticks && there.buds >= buds) return []
    const message = `${nameOf(position)}: somebody has just taken of it; look at the list again`
    return [{ field: woodField, message }]
  })
}
