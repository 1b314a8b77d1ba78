// Looks up sources that a new one could be mistaken for.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** Another source with the same name, registry number or field vine. */
export type Twin = {
  source_id: string
  parent_source_id: string | null
  name: string
  registry_number: string | null
  row_id: string | null
  position: number | null
}

/** Sources other than this one that share a name, a registry number or a vine with it. */
export async function registerTwins(
  db: Database,
  wish: {
    sourceId: string | null
    name: string
    registryNumber: string | null
    vine: { rowId: string; position: number } | null
  },
): Promise<Twin[]> {
  const { sourceId, vine } = wish
  const rows = await sql<Twin>`
    select source_id, parent_source_id, name, registry_number, row_id, position
    from source_standing_row
    where (${sourceId}::uuid is null or source_id <> ${sourceId})
      and (lower(name) = ${wish.name.toLowerCase()}
        or registry_number = ${wish.registryNumber}
        or (row_id = ${vine?.rowId ?? null}::uuid and position = ${vine?.position ?? null}::int))
    order by name limit 50`.execute(db)
  return rows.rows
}
