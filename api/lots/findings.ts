// What the records can show to be wrong about a lot.
import { sql } from 'kysely'
import type { FindingRule } from '../journal/settle.ts'

export const lotFindings: FindingRule[] = [
  {
    code: 'lot_unknown',
    scope: 'lot',
    async find(trx, ids) {
      const rows = await sql<{ lot_id: string; entries: number }>`
        select m.lot_id, count(distinct m.entry_id) as entries
        from movement m
        where m.lot_id = any(${ids}::uuid[])
          and not exists (select 1 from lot l where l.lot_id = m.lot_id)
        group by m.lot_id`.execute(trx)
      return rows.rows.map(({ lot_id, entries }) => ({
        scopeId: lot_id,
        subject: lot_id,
        facts: { entries },
      }))
    },
  },
  {
    code: 'more_than_there_was',
    scope: 'lot',
    async find(trx, ids) {
      const rows = await sql<{
        lot_id: string
        account_kind: string
        account_id: string
        bud_equivalents: number
      }>`
        select b.lot_id, b.account_kind, b.account_id,
          sum(b.count * case b.unit when 'stick' then greatest(l.buds_per_stick, 1) else 1 end)::int
            as bud_equivalents
        from balance b join lot_first l on l.lot_id = b.lot_id
        where b.lot_id = any(${ids}::uuid[])
          and b.account_kind in ('place', 'bath', 'holder', 'unknown')
        group by 1, 2, 3
        having sum(b.count * case b.unit when 'stick' then greatest(l.buds_per_stick, 1) else 1 end) < 0
      `.execute(trx)
      return rows.rows.map((row) => ({
        scopeId: row.lot_id,
        subject: `${row.lot_id}:${row.account_id}`,
        facts: row,
      }))
    },
  },
]
