// Taps and milliseconds for each vine on the phone: from the tap to the next vine's number.
import { chromium } from 'playwright-core'
import type { Page } from 'playwright-core'
import { connect } from '../../db/connect.ts'
import { findChromium } from '../browser/chromium.ts'
import { missing, tags } from '../browser/field-nursery.ts'
import { FieldOffice } from '../browser/field-office.ts'
import { FieldPhone } from '../browser/field-phone.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { printRatio } from './timing.ts'

/** Longer than a second tap counts as the same one. */
const BETWEEN_TAPS_MS = 520
const vineCount = 60

/** Grafts a row in a real browser, beside bare strict writes to the same browser's store. */
export async function benchGrafting(adminUrl: string): Promise<void> {
  const executablePath = findChromium()
  if (executablePath === null) {
    console.log('grafting on the phone: not measured, no Chromium found')
    return
  }
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const app = connect(withDatabase(adminUrl, name), 'app')
  const drop = async () => {
    await app.close()
    await asAdmin(adminUrl, `drop database ${name} with (force)`)
  }
  const office = await FieldOffice.open({ app, drop })
  const args = ['--no-sandbox', '--disable-gpu']
  const browser = await chromium.launch({ executablePath, args })
  try {
    const page = await browser.newPage({ viewport: { width: 360, height: 740 } })
    page.setDefaultTimeout(60_000)
    const phone = new FieldPhone(page, office)
    await phone.enrol()
    await beginRow(phone)
    const vines: number[] = []
    const bare: number[] = []
    for (let vine = 1; vine <= vineCount; vine++) {
      if (missing.includes(vine)) continue
      await page.waitForTimeout(BETWEEN_TAPS_MS)
      vines.push(await tapMs(page))
      bare.push(await bareWriteMs(page))
    }
    const what = `a vine grafted: 1 tap, tap to next vine (${vines.length})`
    printRatio(what, median(vines), median(bare), 'bare strict write')
    console.log(`  slowest vine ${Math.max(...vines).toFixed(1)} ms`)
  } finally {
    await browser.close()
    await office.close()
  }
}

async function beginRow(phone: FieldPhone): Promise<void> {
  await phone.scan(tags.bundle)
  await phone.press('graft.title')
  await phone.scan(tags.row)
  await phone.press('row.fromHead')
  await phone.press('said.method.chip')
  await phone.press('said.tie.rubber')
  await phone.atVine(1)
}

/** Milliseconds from the tap until another vine (or the row's end) is on the screen. */
function tapMs(page: Page): Promise<number> {
  // As text: what runs in the page must not lean on anything that the compiler puts beside it.
  return page.evaluate<number>(`(async () => {
    const numberNow = () => document.querySelector('.vine-number')?.textContent
    const before = numberNow()
    const started = performance.now()
    document.querySelector('.row.tall .big').click()
    await new Promise((resolve) => {
      const watch = new MutationObserver(() => {
        if (numberNow() === before) return
        watch.disconnect()
        resolve()
      })
      const all = { subtree: true, childList: true, characterData: true }
      watch.observe(document.getElementById('app'), all)
    })
    return performance.now() - started
  })()`)
}

/** Milliseconds of one strict write of about an entry's size, without anything around it. */
function bareWriteMs(page: Page): Promise<number> {
  return page.evaluate<number>(`(async () => {
    const open = indexedDB.open('bare-write', 1)
    open.onupgradeneeded = () => open.result.createObjectStore('entry', { autoIncrement: true })
    const db = await new Promise((resolve) => (open.onsuccess = () => resolve(open.result)))
    const started = performance.now()
    const transaction = db.transaction('entry', 'readwrite', { durability: 'strict' })
    transaction.objectStore('entry').put('x'.repeat(800))
    await new Promise((resolve) => (transaction.oncomplete = resolve))
    const took = performance.now() - started
    db.close()
    return took
  })()`)
}

function median(taken: readonly number[]): number {
  const ordered = [...taken].sort((one, other) => one - other)
  return ordered[Math.floor(ordered.length / 2)] ?? 0
}
