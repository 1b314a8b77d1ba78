// Checks a crew's sheet against the row, the lot and the books, and records it as one batch.
import type { Context } from 'hono'
import { POSITION_LIMIT } from '#wire/basics.ts'
import { listKnives } from '../../grafting/knives.ts'
import { judgeForPlans, plansFor } from '../../grafting/lot-verdict.ts'
import { seasonsIn } from '../../grafting/season.ts'
import { sheetDrafts, sheetProblems, sheetVines } from '../../grafting/sheet.ts'
import type { SheetVines } from '../../grafting/sheet.ts'
import { woodProblems } from '../../grafting/wood-check.ts'
import type { WoodOption } from '../../grafting/wood-check.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { reasonsInWords } from '../../lots/judge-lots.ts'
import { readLotFacts } from '../../lots/lot-facts.ts'
import { listPeople, readPolicies } from '../../nursery/read.ts'
import type { FieldProblem } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import type { FormReader } from '../form.ts'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'
import type { SheetContext } from './graft-form.tsx'

/** Most buds on one vine in one entry. */
const BUD_LIMIT = 20

/** Saves the sheet; returns the row's page. Refuses with every problem at its field. */
export async function saveSheet(
  c: Context<Env>,
  sheet: SheetContext,
  form: FormReader,
): Promise<string> {
  const { db, clock } = c.get('services')
  const { row } = sheet.reading.facts
  const at = form.when('when', 'When', sheet.zone, clock.now())
  const vines = readVines(form, sheet)
  const wood = readWood(form, sheet)
  const method = typedName(form, 'method', 'the method')
  const budCount = form.whole('budsPerVine', 'the number of buds', 1, BUD_LIMIT)
  const personId = await personWho(c, form, at)
  const knifeId = await readKnife(c, form)
  const tie = typedNameOrNull(form, 'tie', 'the tie')
  const note = typedNote(form, 'note', 'the note')
  if (vines !== null) {
    form.addProblems(recordProblems(form, sheet, vines, at))
    form.addProblems(await verdictProblems(c, sheet, wood, vines, at))
    if (wood !== null && form.raw('budsPerVine') !== '') {
      const needed = { vines: vines.grafted.length, budsPerVine: budCount, at, zone: sheet.zone }
      form.addProblems(woodProblems(wood, needed, { wood: 'wood', when: 'when' }))
    }
  }
  form.check()
  if (vines === null || wood === null) throw new Error('a sheet without a problem can be read')
  const { lot_id: lotId } = sheet.lot
  const { account: from, bundleId } = wood
  const graft = { lotId, bundleId, from, method, budCount, knifeId, tie, note }
  const drafts = sheetDrafts(row.row_id, vines, graft, at)
  const ids = await recordAtDesk(db, { ...deskOf(c), personId }, drafts)
  return afterSaving(`/blocks/rows/${row.row_id}`, ids.length)
}

function readVines(form: FormReader, sheet: SheetContext): SheetVines | null {
  const stretch = {
    fromPosition: form.whole('fromPosition', 'the first position', 1, POSITION_LIMIT),
    toPosition: form.whole('toPosition', 'the last position', 1, POSITION_LIMIT),
    countedFrom: form.choice('countedFrom', 'the end that positions count from', ['head', 'far']),
    skipped: form.raw('skipped'),
  }
  if (form.raw('fromPosition') === '' || form.raw('toPosition') === '') return null
  const { vines, problems } = sheetVines(sheet.reading.facts.row, stretch)
  form.addProblems(problems)
  return vines
}

function readWood(form: FormReader, sheet: SheetContext): WoodOption | null {
  const option = sheet.options.find(({ key }) => key === form.raw('wood'))
  if (option !== undefined) return option
  const message =
    form.raw('wood') === ''
      ? 'choose who or what held the wood'
      : 'this wood is no longer where it was: choose again'
  return form.problem('wood', message, null)
}

/** The person who did it, who worked here at the time. */
export async function personWho(
  c: Context<Env>,
  form: FormReader,
  at: Date,
  field = 'personId',
): Promise<string> {
  const personId = form.id(field, 'the person who did it')
  if (form.raw(field) === '') return personId
  const people = await listPeople(c.get('services').db)
  const person = people.find((one) => one.person_id === personId)
  if (person === undefined) {
    return form.problem(field, 'choose a person from the list', personId)
  }
  if (person.ended_at !== null && at > person.ended_at) {
    const message = `${person.name} did not work here any more at that time: check both`
    return form.problem(field, message, personId)
  }
  return personId
}

async function readKnife(c: Context<Env>, form: FormReader): Promise<string | null> {
  const knifeId = form.optionalId('knifeId', 'the knife')
  if (knifeId === null) return null
  const knives = await listKnives(c.get('services').db)
  if (knives.some((knife) => knife.knife_id === knifeId)) return knifeId
  return form.problem('knifeId', 'choose a knife from the list, or none', null)
}

function recordProblems(
  form: FormReader,
  sheet: SheetContext,
  vines: SheetVines,
  at: Date,
): FieldProblem[] {
  const further = form.all('further').includes('yes')
  const countedFrom = form.raw('countedFrom') === 'far' ? 'far' : 'head'
  return sheetProblems(sheet.reading, vines, { at, further, countedFrom }, seasonsIn(sheet.zone))
}

/** Every reason that stops the lot, for what these vines are planned for. */
async function verdictProblems(
  c: Context<Env>,
  sheet: SheetContext,
  wood: WoodOption | null,
  vines: SheetVines,
  at: Date,
): Promise<FieldProblem[]> {
  const { db } = c.get('services')
  const { lot, reading } = sheet
  const { account, bundleId } = wood ?? { account: undefined, bundleId: null }
  const asked = {
    ...(account === undefined ? {} : { account }),
    ...(bundleId === null ? {} : { bundleId }),
  }
  const facts = (await readLotFacts(db, [lot.lot_id], at, asked)).get(lot.lot_id)
  if (facts === undefined) return [{ field: 'lot', message: 'this lot is not known' }]
  const { policies } = await readPolicies(db, at)
  const season = seasonsIn(sheet.zone)(at)
  const plans = plansFor(reading.facts.plans, season, vines.grafted)
  const judgement = judgeForPlans(facts, plans, policies, at)
  const reasons = judgement.reasons.filter((reason) => reason.verdict === 'stop')
  const words = await reasonsInWords(db, { verdict: judgement.verdict, reasons })
  return words.map(({ sentence, todo }) => ({
    field: 'lot',
    message: `${lot.reference} may not be set here. ${sentence} ${todo}`,
  }))
}
