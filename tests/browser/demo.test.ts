// The demo in a real browser: one failed vine back to its source, that source forward, its tags.
import { sql } from 'kysely'
import { afterAll, expect, it } from 'vitest'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { checkPage } from './check-page.ts'
import { openOffice } from './open-office.ts'

afterAll(closeBrowser)

const slow = { timeout: 300_000 }

it(
  'the demo is loaded and a failed vine followed to every vine of its source',
  slow,
  async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const { desk, services, close } = await openOffice(browser, '2026-11-20T10:00:00Z')
    desk.page.setDefaultTimeout(180_000)
    await desk.send({}, /Load the demo/)
    expect(await desk.words()).toContain('Sallow Ridge Vine Nursery')
    await desk.picture('today')

    const failed = await sql<{ row_id: string; position: number; name: string }>`
    select c.row_id, c.position, s.name from take_check c
      join graft g on g.entry_id = c.graft_id join lot_first l on l.lot_id = g.lot_id
      join source_now s on s.source_id = l.source_id
    where c.growing = 0 and c.callused = 0 and s.name = 'Long bench'
    order by c.checked_at desc, c.position limit 1`.execute(services.db)
    const vine = failed.rows[0]
    if (vine === undefined) throw new Error('no vine failed in the demo')
    await desk.open(`/blocks/vines/${vine.row_id}/${vine.position}`)
    await desk.picture('vine')
    await desk.follow(/Trace back/)
    expect(await desk.words()).toContain('Long bench')
    expect(await desk.words()).toContain('on hold')
    await desk.picture('trace-back')
    await desk.follow(/forward to its vines/)

    const vines = await sql<{ count: number }>`
    select count(distinct (g.row_id, g.position)) as count from graft g
      join lot_first l on l.lot_id = g.lot_id join source_now s on s.source_id = l.source_id
    where s.name = 'Long bench'`.execute(services.db)
    const count = vines.rows[0]?.count ?? -1
    expect(await desk.words()).toContain(`${count} vines in`)
    const csv = (await desk.download(/Every vine as CSV/)).toString('utf8')
    expect(csv.trim().split('\n').length - 1).toBeGreaterThanOrEqual(count)
    await desk.picture('trace-forward')
    await checkPage(desk.page)

    const lot = desk.page.locator('main a[href^="/lots/"]').first()
    const lotPath = (await lot.getAttribute('href')) ?? ''
    await desk.open(lotPath)
    await desk.picture('lot')
    await desk.open(lotPath.replace('/lots/', '/tags/lot/'))
    await desk.tickAll('things')
    await desk.send({ payload: 'field tag', form: 'Sheet A4, 3 × 8' }, /Print/)
    const pdf = await desk.download(/Open the PDF/)
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-')
    for (const page of ['lots', 'blocks', 'findings', 'journal', 'store', 'soak', 'tags']) {
      await desk.open(`/${page}`)
      await desk.picture(page)
    }
    await close()
  },
)
