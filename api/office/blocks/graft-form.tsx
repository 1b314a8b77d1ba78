// The second step of a grafting sheet: enters what a crew wrote down for one row and one lot.
import type { Context } from 'hono'
import { Id } from '#wire/basics.ts'
import { lotsById } from '../../grafting/lot-choice.ts'
import type { LotNamed } from '../../grafting/lot-choice.ts'
import { readRowVines } from '../../grafting/read.ts'
import type { RowReading } from '../../grafting/read.ts'
import { woodOptions } from '../../grafting/wood-check.ts'
import type { WoodOption } from '../../grafting/wood-check.ts'
import { planAt } from '../../nursery/read-blocks.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readPositions } from '../../store/positions.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { show, submit } from '../form-page.tsx'
import { found, pathId } from '../path-id.ts'
import { showLotChoice } from './graft-lots.tsx'
import { GraftPage, readGraftChoices } from './graft-page.tsx'
import { saveSheet } from './graft-save.ts'
import { thisYear } from './rows-form.tsx'

/** Everything that a sheet is checked against. */
export type SheetContext = {
  reading: RowReading
  lot: LotNamed
  options: WoodOption[]
  /** Wood of the lot that lies in a bath, in words. */
  inBath: string[]
  zone: string
}

/** Shows the form for the lot in the address, or the lots to choose from. */
export async function showGraftForm(c: Context<Env>) {
  const reading = await readingInPath(c)
  const lotId = c.req.query('lot')
  if (lotId === undefined) return showLotChoice(c, reading)
  const sheet = await readSheetContext(c, reading, lotId)
  return show(c, await page(c, sheet, freshForm(await startOf(c, sheet))))
}

/** Saves the sheet. */
export async function saveGraftForm(c: Context<Env>) {
  const reading = await readingInPath(c)
  const sheet = await readSheetContext(c, reading, c.req.query('lot') ?? '')
  return submit(c, {
    save: (form) => saveSheet(c, sheet, form),
    page: (form) => page(c, sheet, form),
  })
}

async function readingInPath(c: Context<Env>): Promise<RowReading> {
  return found(await readRowVines(c.get('services').db, pathId(c, 'rowId', 'row')), 'row')
}

async function readSheetContext(
  c: Context<Env>,
  reading: RowReading,
  lotId: string,
): Promise<SheetContext> {
  const { db } = c.get('services')
  const lots = Id.safeParse(lotId).success ? await lotsById(db, [lotId]) : []
  const lot = found(lots[0], 'lot')
  const zone = await nurseryTimeZone(db)
  const { positions } = await readPositions(db, zone, { lotIds: [lotId] })
  return {
    reading,
    lot,
    options: woodOptions(positions),
    inBath: positions
      .filter((position) => position.account.kind === 'bath')
      .map((position) => position.accountName),
    zone,
  }
}

async function startOf(c: Context<Env>, sheet: SheetContext): Promise<Record<string, string>> {
  const { db, clock } = c.get('services')
  const { row, plans } = sheet.reading.facts
  const asked = Number(c.req.query('position') ?? 0)
  const single = Number.isInteger(asked) && asked >= 1 && asked <= row.position_count
  const { policies } = await readPolicies(db, clock.now())
  const season = await thisYear(c)
  const plan = planAt(plans, season, single ? asked : 1)
  const holders = sheet.options.filter((option) => option.account.kind === 'holder')
  return {
    wood: holders.length === 1 ? (holders[0]?.key ?? '') : '',
    fromPosition: String(single ? asked : 1),
    toPosition: String(single ? asked : row.position_count),
    countedFrom: 'head',
    method: plan?.method ?? '',
    budsPerVine: String(plan?.buds_per_vine ?? policies.budsPerVine.value),
  }
}

async function page(c: Context<Env>, sheet: SheetContext, form: FormState) {
  const choices = await readGraftChoices(c, sheet)
  return <GraftPage c={c} sheet={sheet} form={form} choices={choices} />
}
