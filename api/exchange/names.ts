// The names of things that a document's events speak of by address.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { addressOf } from './addresses.ts'
import type { EpcisEvent, OwnValue } from './epcis-shape.ts'
import { ownWords } from './tell.ts'

/** A kind of thing with a name; a holder that is a firm is named as a firm, a person never. */
type Named = { kind: string; id: string; name: string; role: string | null }

/**
 * A name for each variety, firm, place and source that `events` speak of. They stand beside the
 * events and not in them: a name may be corrected later, and an event's id must not change by it.
 */
export async function readNamesOf(
  db: Database,
  host: string,
  events: readonly EpcisEvent[],
): Promise<OwnValue[]> {
  const ids = new Set<string>()
  const spoken = new Set<string>()
  for (const [, kind = '', id = ''] of JSON.stringify(events).matchAll(addresses)) {
    ids.add(id)
    spoken.add(`${kind} ${id}`)
  }
  const any = sql`any(${[...ids]}::uuid[])`
  const { rows } = await sql<Named>`
    select 'variety' as kind, variety_id as id, name, null as role
      from variety_now where variety_id = ${any}
    union all select 'place', place_id, name, null from place_now where place_id = ${any}
    union all select 'source', source_id, name, null from source_now where source_id = ${any}
    union all select 'party', party_id, name, role from party_now where party_id = ${any}
    union all select 'holder', party_id, name, role from party_now where party_id = ${any}
    order by 1, 2`.execute(db)
  return rows
    .filter(({ kind, id }) => spoken.has(`${kind} ${id}`))
    .map(({ kind, id, name, role }) => ownWords({ thing: addressOf(host, kind, id), name, role }))
}

const addresses = /\/id\/(variety|place|source|party|holder)\/([0-9a-f-]{36})/g
