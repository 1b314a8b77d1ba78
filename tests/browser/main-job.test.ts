// The main job on real input: from cut cane to grafted vine and back, in a real browser.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import type { DeskDriver } from './desk-driver.ts'
import { openOffice } from './open-office.ts'
import { rasterise, readWithZbar, readWithZxing } from '../labels/read-labels.ts'
import { requireLibreOffice, saveAsCsv, sheetOf } from '../nursery/saved-by-calc.ts'
import { requireTool } from '../tools.ts'

afterAll(closeBrowser)

it(
  'a season runs from cut cane to the trace of a failed vine',
  { timeout: 300_000 },
  async (ctx) => {
    const browser = await browserOrSkip(ctx)
    requireTool(ctx, 'pdftoppm', 'zbarimg')
    requireLibreOffice(ctx)
    const { desk, goOnAt, close } = await openOffice(browser, '2027-04-10T18:00:00Z')
    await setUpNursery(desk)
    const blockPath = await importBlock(desk)
    const lotPath = await cutAndStore(desk)
    await printAndReadTags(desk, lotPath)
    await soakAndHandOver(desk)
    const rowPath = await graftRow(desk, blockPath, lotPath)
    await goOnAt('2027-05-24T18:00:00Z')
    await countTake(desk, rowPath)
    await traceBackAndForward(desk, rowPath, lotPath)
    await close()
  },
)

async function setUpNursery(desk: DeskDriver): Promise<void> {
  await desk.open('/nursery/profile')
  const profile = { name: 'Sallow Ridge', country: 'XX', address: 'Ridge Lane 4', timeZone: 'UTC' }
  await desk.send(profile, /Save/)
  const varieties = { Ruvello: 'scion', Dunmerle: 'scion and rootstock', 'QM 14': 'rootstock' }
  for (const [name, use] of Object.entries(varieties)) {
    await desk.open('/nursery/varieties/new')
    await desk.send({ name, use }, /Save/)
  }
  await desk.open('/nursery/parties/new')
  await desk.send({ name: 'Crew Heron', role: 'crew' }, /Save/)
  const places = { 'Cold room 1': 'room', 'Tank east': 'tank', Truck: 'truck' }
  for (const [name, placeKind] of Object.entries(places)) {
    await desk.open('/store/register')
    await desk.send({ name, placeKind }, /Save|Register/)
  }
  await desk.open('/sources/new')
  const source = { level: 'block', name: 'Top terrace', varietyId: 'Ruvello', clone: '4' }
  await desk.send(source, /Save|Register/)
}

/** Reads the rows from a file that a spreadsheet program saved; returns the block's path. */
async function importBlock(desk: DeskDriver): Promise<string> {
  await desk.open('/blocks/new')
  await desk.send({ name: 'Upper' }, /Save/)
  const path = desk.path()
  await desk.follow(/Read rows/)
  await desk.chooseFile('upper.csv', await savedByCalc())
  await desk.send({}, /Show what it says/)
  expect(await desk.words()).toContain('1–60: QM 14 + Dunmerle, 2009')
  await desk.send({}, /Save 2 rows/)
  await desk.open(`${path}/plan`)
  await desk.tickAll('rows')
  await desk.send({ varietyId: 'Ruvello', clone: '4' }, /Save/)
  return path
}

async function savedByCalc(): Promise<Buffer> {
  const folder = await mkdtemp(join(tmpdir(), 'canemark-sheet-'))
  const sheet = sheetOf([
    ['Row', 'Vines', 'Missing', 'Rootstock', 'Interstock', 'Planted'],
    ['1', 60, null, 'QM 14', 'Dunmerle', 2009],
    ['2', 58, '7, 21 to 22', 'QM 14', 'Dunmerle', 2009],
  ])
  const bytes = await saveAsCsv(folder, sheet, { separator: 59, characters: 76 })
  await rm(folder, { recursive: true })
  return Buffer.from(bytes)
}

async function cutAndStore(desk: DeskDriver): Promise<string> {
  await desk.open('/lots/cut')
  await desk.send(
    {
      ...{ sourceId: 'Top terrace', sticks: '100', budsPerStick: '5', harvestYear: '2026' },
      ...{ bundleCount: '2', piecesEach: '50', to: 'Truck', when: '2027-01-12T09:00' },
    },
    /Save the lot/,
  )
  const path = desk.path()
  expect(await desk.words()).toContain('Lot 27-001')
  await desk.open('/store/move')
  await desk.tickAll('wood')
  await desk.send({ placeId: 'Cold room 1', when: '2027-01-12T12:00' }, /Move/)
  await desk.open('/store')
  expect(await desk.words()).toMatch(/Cold room 1[\s\S]*27-001/)
  await desk.picture('cold-store')
  return path
}

/** Prints the bundles' tags and reads the codes back out of the picture, by two decoders. */
async function printAndReadTags(desk: DeskDriver, lotPath: string): Promise<void> {
  await desk.open(lotPath.replace('/lots/', '/tags/lot/'))
  await desk.send({ payload: 'field tag', form: 'Roll 100 × 25 mm' }, /Print/)
  const codes = (await desk.page.locator('main td.code').allInnerTexts()).map((text) =>
    text.replace(/[^0-9A-Z]/g, ''),
  )
  expect(codes).toHaveLength(2)
  const pages = await rasterise(await desk.download(/Open the PDF/), 300)
  const zbar = new Set(pages.flatMap((png) => readWithZbar(png)))
  const zxing = new Set((await Promise.all(pages.map(readWithZxing))).flat().map((s) => s.text))
  expect(zbar).toEqual(new Set(codes))
  expect(zxing).toEqual(new Set(codes))
  await desk.open(`/find?q=${codes[0]}`)
  expect(await desk.words()).toContain('Lot 27-001')
}

async function soakAndHandOver(desk: DeskDriver): Promise<void> {
  await desk.open('/soak/fill')
  await desk.send({ placeId: 'Tank east', water: 'well', when: '2027-04-09T05:30' }, /Fill/)
  const bathPath = desk.path()
  await desk.open(`${bathPath}/put-in`)
  await desk.tickAll('wood')
  await desk.send({ when: '2027-04-09T06:00' }, /Put in|Soak/)
  await desk.open(`${bathPath}/take-out`)
  await desk.tickAll('wood')
  await desk.send({ to: 'Truck', when: '2027-04-10T06:30' }, /Take out/)
  await desk.open('/custody/hand-over')
  await desk.tickAll('wood')
  await desk.send({ toHolderId: 'Crew Heron', when: '2027-04-10T07:00' }, /Hand over/)
}

/** Enters the crew's sheet: sixty places, three passed over. Returns the row's path. */
async function graftRow(desk: DeskDriver, blockPath: string, lotPath: string): Promise<string> {
  await desk.open(blockPath)
  await desk.follow('1')
  const path = desk.path()
  await desk.open(`${path}/graft?lot=${lotPath.split('/').at(-1)}`)
  const rest = {
    wood: 'Crew Heron',
    method: 'chip bud',
    budsPerVine: '2',
    personId: 'Tessa',
    tie: 'tape',
  }
  const sheet = { fromPosition: '1', toPosition: '60', when: '2027-04-10T16:00', ...rest }
  await desk.send({ ...sheet, skipped: '4 too thin; 17 dead arm; 31 too thin' }, /Record/)
  expect(await desk.words()).toMatch(/114|57/)
  await desk.open(`${path}/graft?lot=${lotPath.split('/').at(-1)}`)
  const beyond = desk.send({ ...sheet, toPosition: '61' }, /Record/)
  await expect(beyond).rejects.toThrow(/has 60 positions/)
  return path
}

async function countTake(desk: DeskDriver, rowPath: string): Promise<void> {
  await desk.open(`${rowPath}/take`)
  const quick = { growFrom: '1', growTo: '60', except: '9 failed; 12 callused' }
  await desk.send({ ...quick, when: '2027-05-24T10:00', personId: 'Tessa' }, /Record the count/)
  await desk.picture('row')
  await desk.open(rowPath)
  expect(await desk.words()).toMatch(/failed/)
}

async function traceBackAndForward(
  desk: DeskDriver,
  rowPath: string,
  lotPath: string,
): Promise<void> {
  await desk.open('/trace?q=Upper 1/9')
  await desk.follow(/back to its sources/)
  const back = await desk.words()
  expect(back).toContain('0 growing, 0 callused, 2 failed')
  expect(back).toContain('Top terrace')
  await desk.picture('trace-back')
  await desk.follow(/forward to its vines/)
  expect(await desk.words()).toContain('57 vines in 1 row,')
  await desk.picture('trace-forward')
  const csv = (await desk.download(/Every vine as CSV/)).toString('utf8')
  expect(csv.trim().split('\n')).toHaveLength(58)
  await desk.open(lotPath)
  expect(await desk.words()).toContain('57 vines')
  expect(rowPath).toContain('/blocks/rows/')
}
