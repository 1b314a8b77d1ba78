// Adds people to the register of those who work here, renames them, and ends their time.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { newId } from '../platform/clock.ts'

/** Adds a person; returns the new id. Names are kept here alone, never in the journal. */
export async function addPerson(db: Database, name: string): Promise<string> {
  const personId = newId()
  await db.insertInto('person').values({ person_id: personId, name }).execute()
  return personId
}

/** Puts a person's name right; it changes wherever it is shown. */
export async function renamePerson(db: Database, personId: string, name: string): Promise<void> {
  await db.updateTable('person').set({ name }).where('person_id', '=', personId).execute()
}

/** Ends a person's time here, or (null) begins it again. What they did keeps their name. */
export async function endPerson(db: Database, personId: string, at: Date | null): Promise<void> {
  await db.updateTable('person').set({ ended_at: at }).where('person_id', '=', personId).execute()
}

/** The lots of which wood is still with a person, by reference. */
export async function woodHeldBy(db: Database, holderId: string): Promise<string[]> {
  const rows = await sql<{ reference: string }>`
    select l.reference
    from (
      select b.lot_id, sum(case b.unit when 'stick' then b.count else 0 end) as sticks,
        sum(case b.unit when 'bud' then b.count else 0 end) as buds
      from balance b where b.account_kind = 'holder' and b.account_id = ${holderId}
      group by b.lot_id
    ) held
    join lateral (
      select reference, buds_per_stick from lot where lot.lot_id = held.lot_id
      order by occurred_at, entry_id, line limit 1
    ) l on true
    where held.sticks * greatest(coalesce(l.buds_per_stick, 1), 1) + held.buds > 0
    order by l.reference`.execute(db)
  return rows.rows.map((row) => row.reference)
}
