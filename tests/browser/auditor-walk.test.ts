// An auditor's way in a real browser: a failed vine, its source, the recall, and its dossier.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { Page } from 'playwright-core'
import { idOf } from '../../seed/setting.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { checkPage } from './check-page.ts'
import { openOffice } from './open-office.ts'
import type { OpenOffice } from './open-office.ts'
import { openSavedDossier } from './saved-dossier.ts'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-walk-'))
})
afterAll(async () => {
  await closeBrowser()
  await rm(folder, { recursive: true, force: true })
})

/** A vine whose buds of the infected source all failed, as `block / row / position`. */
async function failedVine({ services }: OpenOffice): Promise<string> {
  const found = await sql<{ words: string }>`
    select b.name || ' / ' || r.label || ' / ' || c.position as words
    from take_check c join graft g on g.entry_id = c.graft_id
      join lot_first l on l.lot_id = g.lot_id
      join block_row_now r on r.row_id = c.row_id join block_now b on b.block_id = r.block_id
    where c.growing = 0 and c.callused = 0 and l.source_id = ${idOf('source bench')}
    order by c.checked_at desc, c.position limit 1`.execute(services.db)
  const [vine] = found.rows
  if (vine === undefined) throw new Error('no vine of the infected source failed in the demo')
  return vine.words
}

/** How many vines the lots of the infected source were set on. */
async function vinesOfSource({ services }: OpenOffice): Promise<number> {
  const found = await sql<{ count: number }>`
    select count(distinct (g.row_id, g.position)) as count from graft g
      join lot_first l on l.lot_id = g.lot_id
    where l.source_id = ${idOf('source bench')}`.execute(services.db)
  return found.rows[0]?.count ?? -1
}

const outcome = (page: Page) => page.locator('#outcome').innerText()

it(
  'from a failed vine to a recall with holds, and a dossier that checks itself without us',
  { timeout: 400_000 },
  async (context) => {
    const browser = await browserOrSkip(context)
    const office = await openOffice(browser, '2026-11-20T10:00:00Z')
    const { desk } = office
    desk.page.setDefaultTimeout(180_000)
    await desk.send({}, /Load the demo/)

    // The vine, its source, and the test that found something.
    await desk.find(await failedVine(office))
    await desk.follow(/Trace back/)
    expect(await desk.words()).toContain('Long bench')
    await desk.follow('Long bench')
    expect(await desk.words()).toContain('suspended since')
    await desk.follow('recall')

    // Everything that it may have reached, by lot and by row, on a map.
    const count = await vinesOfSource(office)
    expect(await desk.words()).toContain(`${count} vines in`)
    const map = desk.page.locator('svg.recall-map')
    expect(await map.count()).toBeGreaterThan(1)
    const drawn = await map.evaluateAll((pictures) =>
      pictures.map((picture) => Number(/(\d+) vines/.exec(picture.textContent)?.[1])),
    )
    expect(drawn.reduce((sum, vines) => sum + vines, 0)).toBe(count)
    expect(await desk.words()).toContain('on hold through source Long bench')
    await checkPage(desk.page)
    await desk.send({ reason: 'recalled after the test of 22 June' }, /Place \d+ holds/)
    expect(await desk.words()).toContain('A hold stands on every source')
    await desk.picture('recall')

    // The dossier, taken home and opened with the network cut.
    await desk.follow(/Dossier of this recall/)
    await desk.send({}, /Make the dossier/)
    await checkPage(desk.page)
    const file = path.join(folder, 'dossier.html')
    await writeFile(file, await desk.download(/Page that checks itself/))
    await office.close()
    const right = await openSavedDossier(browser, file)
    expect(await outcome(right.page)).toMatch(/^Nothing was changed since it was signed/)
    expect(right.asked).toEqual([])
    const words = await right.page.locator('main').innerText()
    expect(words).toContain('Long bench')
    expect(words).toContain('does not hold'.toUpperCase())
    await right.close()

    // One byte of one old entry.
    const html = await readFile(file, 'utf8')
    const told = 'positive test of 22 June'
    expect(html.split(told).length - 1).toBeGreaterThan(0)
    await writeFile(file, html.replace(told, 'positive test of 23 June'))
    const wrong = await openSavedDossier(browser, file)
    const where = /^WRONG: .*Every entry in the signed journal: entry (\d+) \(hold\.placed\)/
    expect(await outcome(wrong.page)).toMatch(where)
    const index = Number(where.exec(await outcome(wrong.page))?.[1])
    const changed = wrong.page.locator(`#entry-${index}`)
    expect(await changed.innerText()).toContain('hold.placed')
    await wrong.close()
  },
)
