// The demo is taken whole by the machine API and shows what it promises.
import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { auditLots, readAuditLimits } from '../../api/custody/audit.ts'
import { loadDemo } from '../../seed/load.ts'
import type { Loaded } from '../../seed/load.ts'
import { makeDemoPhones, publicKeysOf } from '../../seed/phones.ts'
import { demoSeason } from '../../seed/season.ts'
import { idOf } from '../../seed/setting.ts'
import { verify } from '../../api/journal/verify.ts'
import { reachedVines, traceForward } from '../../api/trace/forward.ts'
import { readRecall } from '../../api/trace/recall.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

let office: OfficeApp
let loaded: Loaded
const now = new Date('2026-11-20T10:00:00Z')

beforeAll(async () => {
  office = await officeApp()
  loaded = await loadDemo(office.services.db, (path, init) => office.app.request(path, init), now)
})
afterAll(() => office.drop())

it('every entry is recorded and none is set aside', () => {
  const phones = makeDemoPhones()
  expect(phones.size).toBe(4)
  const entries = demoSeason(now, publicKeysOf(phones)).length
  expect(entries).toBe(demoSeason(now).length + phones.size)
  expect(loaded).toEqual({ entries, setAside: 0 })
})

it('every entry of a phone is signed, and verify finds the whole journal in order', async () => {
  const outcome = await verify(office.services.db)
  const byPhones = await sql<{ n: number }>`
    select count(*) as n from entry e join device d on d.device_id = e.device_id
    where d.kind = 'phone'`.execute(office.services.db)
  expect(outcome).toMatchObject({
    verified: { entries: loaded.entries, signed: byPhones.rows[0]?.n },
  })
})

it('nothing happens later than now, whenever now is', () => {
  for (const day of ['2026-01-15', '2026-09-30', '2026-10-01', '2028-02-29']) {
    const last = demoSeason(new Date(`${day}T00:00:00Z`)).at(-1)
    expect(Date.parse(last?.occurredAt ?? '')).toBeLessThan(Date.parse(`${day}T00:00:00Z`))
  }
})

it('it is refused on a database that holds entries', async () => {
  const again = loadDemo(office.services.db, (path, init) => office.app.request(path, init), now)
  await expect(again).rejects.toThrow(/holds entries already/)
})

it('it has six source blocks, forty lots and about twelve thousand grafts', async () => {
  const count = async (table: string) => {
    const rows = await sql<{ n: number }>`select count(*) as n from ${sql.table(table)}`.execute(
      office.services.db,
    )
    return rows.rows[0]?.n
  }
  expect(await count('lot_first')).toBe(40)
  expect(await count('graft')).toBeGreaterThan(11_000)
  const blocks = await sql`select 1 from source_now where level = 'block'`.execute(
    office.services.db,
  )
  expect(blocks.rows).toHaveLength(6)
})

it('the infected source reaches every vine of its lots, over both springs', async () => {
  const { db } = office.services
  const forward = await traceForward(db, { kind: 'source', id: idOf('source bench') })
  const vines = await reachedVines(db, forward.lineage.ids)
  const direct = await sql<{ n: number }>`
    select count(*) as n from graft g join lot_first l on l.lot_id = g.lot_id
    where l.source_id = ${idOf('source bench')}`.execute(db)
  expect(vines).toHaveLength(direct.rows[0]?.n ?? -1)
  expect(new Set(vines.map((vine) => vine.at?.getUTCFullYear()))).toEqual(new Set([2025, 2026]))
})

it('the warm room and the weak day show in the take', async () => {
  const { db } = office.services
  const take = async (where: ReturnType<typeof sql>) => {
    const rows = await sql<{ share: number }>`
      select (count(*) filter (where c.growing > 0))::float / count(*) as share
      from graft g join take_check c on c.graft_id = g.entry_id where ${where}`.execute(db)
    return rows.rows[0]?.share ?? 0
  }
  const spring = sql`g.grafted_at > '2026-01-01'`
  const warm = sql`g.lot_id in (select lot_id from movement where account_kind = 'discarded'
    and exists (select 1 from entry e where e.id = movement.entry_id
      and convert_from(e.canonical, 'UTF8') like '%after the warm week%'))`
  const usual = await take(sql`${spring} and not (${warm})`)
  expect(await take(sql`${spring} and ${warm}`)).toBeLessThan(usual - 0.1)
  const days = await sql<{ finch: number; others: number }>`
    select avg((c.growing > 0)::int) filter (where g.person_id = ${idOf('person finch')})::float
        as finch,
      avg((c.growing > 0)::int) filter (where g.person_id <> ${idOf('person finch')})::float
        as others
    from graft g join take_check c on c.graft_id = g.entry_id
    where ${spring} and not (${warm})
    group by g.grafted_at::date
    having count(*) filter (where g.person_id = ${idOf('person finch')}) > 100`.execute(db)
  expect(days.rows.filter((day) => day.finch < day.others - 0.2)).toHaveLength(1)
})

it('crews have accepted the wood that they were given, but for a bundle now and then', async () => {
  const { db } = office.services
  const lots = await db.selectFrom('lot_first').select('lot_id').execute()
  const limits = await readAuditLimits(db, now)
  const ids = lots.map(({ lot_id }) => lot_id)
  const states = (await auditLots(db, ids, limits, now)).flatMap(({ handovers }) =>
    handovers.map(({ state }) => state),
  )
  const open = states.filter((state) => state === 'not accepted').length
  expect(open).toBeGreaterThan(0)
  expect(open).toBeLessThan(states.length / 20)
  expect(states.filter((state) => state === 'accepted')).toHaveLength(states.length - open)
})

it('knives are disinfected between lots, and so a viroid does not reach every vine', async () => {
  const { db } = office.services
  const start = { kind: 'source' as const, id: idOf('source bench') }
  const reach = async (agent: string) => {
    const recall = await readRecall(db, { start, agent, foundOn: '2026-06-22' })
    return { vines: recall.vineCount, lots: recall.lots.length }
  }
  const byLineage = await reach('GLRaV-3')
  const byBlade = await reach('viroids')
  const all = await sql<{ n: number }>`
    select count(distinct (row_id, position)) as n from graft`.execute(db)
  expect(byBlade.lots).toBeGreaterThan(byLineage.lots)
  expect(byBlade.vines).toBeLessThan(all.rows[0]?.n ?? 0)
})
