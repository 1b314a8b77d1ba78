// Reads which wood a posted form is about: ticks, counts and tags, against where wood is now.
import type { Database } from '../../../db/connect.ts'
import { chooseWood, tagsField } from '../../store/choose-wood.ts'
import { readPositions } from '../../store/positions.ts'
import type { PositionFilter } from '../../store/positions.ts'
import { readWoodTags } from '../../store/wood-tags.ts'
import type { FormReader } from '../form.ts'
import { countedKeys, tickedKeys } from './wood-fields.tsx'

/**
 * The wood chosen and what is wrong with the choice. Positions are read anew for the lots that
 * the form names, within `filter`, so that what has moved in the meantime is refused.
 */
export async function readChosenWood(
  db: Database,
  form: FormReader,
  zone: string,
  filter: PositionFilter,
) {
  const tags = await readWoodTags(db, form.raw(tagsField))
  const keys = [...new Set([...tickedKeys(form), ...countedKeys(form)])]
  const lotIds = [...keys.flatMap(lotOfKey), ...tags.tagged.map(({ lotId }) => lotId)]
  const { positions } = await readPositions(db, zone, { lotIds, ...filter })
  const request = {
    ticked: keys,
    sticksOf: (key: string) => form.raw(`sticks-${key}`),
    budsOf: (key: string) => form.raw(`buds-${key}`),
  }
  return chooseWood(positions, request, tags)
}

/** The lot that a key names; none when the key is not one of ours. */
function lotOfKey(key: string): string[] {
  const lotId = /^([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})_/.exec(key)?.[1]
  return lotId === undefined ? [] : [lotId]
}
