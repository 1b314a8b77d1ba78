// Finds the source that a person means by its name or registry number.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** The sources with this name or registry number; capitals make no difference. */
export async function sourcesByName(
  db: Database,
  text: string,
): Promise<{ source_id: string; name: string; variety_id: string }[]> {
  const wanted = text.toLowerCase()
  const rows = await sql<{ source_id: string; name: string; variety_id: string }>`
    select source_id, name, variety_id from source_standing_row
    where lower(name) = ${wanted} or lower(registry_number) = ${wanted}
    order by name, source_id limit 10`.execute(db)
  return rows.rows
}
