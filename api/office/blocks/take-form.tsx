// Counts take: on one page for all grafted vines of a row, or for a single vine.
import type { Context } from 'hono'
import { POSITION_LIMIT } from '#wire/basics.ts'
import type { FieldProblem } from '../../platform/errors.ts'
import { graftsToCheck } from '../../grafting/grafts-to-check.ts'
import { readRowVines } from '../../grafting/read.ts'
import type { RowReading } from '../../grafting/read.ts'
import type { GraftRow } from '../../grafting/row-facts.ts'
import { seasonsIn } from '../../grafting/season.ts'
import { checkBody, quickCounts, typedCounts } from '../../grafting/take-sheet.ts'
import type { VineCount } from '../../grafting/take-sheet.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { show, submit } from '../form-page.tsx'
import { found, pathId, pathPosition } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedNote } from '../typed-text.ts'
import { graftedSeason } from './block-page.tsx'
import { personWho } from './graft-save.ts'
import { seasonAsked } from './season-choice.tsx'
import { countField, TakePage } from './take-page.tsx'

/** Most vines with lines of their own on one page. */
export const TAKE_PAGE_VINES = 200

/** What a count of take is made on. */
export type TakeContext = {
  reading: RowReading
  season: number | null
  zone: string
  /** All grafts that can be looked at, by position. */
  vines: Map<number, GraftRow[]>
  /** Those with lines on this page. */
  listed: Map<number, GraftRow[]>
  /** The single vine that is counted, or null for the row. */
  position: number | null
  /** From which number on vines are listed, from 0. */
  skippedVines: number
}

/** Shows the form for the row or vine in the address. */
export async function showTakeForm(c: Context<Env>) {
  const take = await readTakeContext(c)
  return show(c, await page(c, take, freshForm({ growBuds: 'all' })))
}

/** Saves the counts. */
export async function saveTakeForm(c: Context<Env>) {
  const take = await readTakeContext(c)
  return submit(c, {
    save: (form) => save(c, take, form),
    page: (form) => page(c, take, form),
  })
}

async function readTakeContext(c: Context<Env>): Promise<TakeContext> {
  const { db } = c.get('services')
  const reading = found(await readRowVines(db, pathId(c, 'rowId', 'row')), 'row')
  const position = c.req.param('position') === undefined ? null : pathPosition(c, 'position')
  const zone = await nurseryTimeZone(db)
  const latest = position === null ? graftedSeason([reading], zone) : latestOf(reading, position)
  const season = seasonAsked(c.req.query('season')) ?? latest
  const all = season === null ? new Map() : graftsToCheck(reading, season, seasonsIn(zone))
  const vines = new Map([...all].filter(([at]) => position === null || at === position))
  const skippedVines = Math.max(0, Math.trunc(Number(c.req.query('after') ?? 0)) || 0)
  const listed = new Map([...vines].slice(skippedVines, skippedVines + TAKE_PAGE_VINES))
  return { reading, season, zone, vines, listed, position, skippedVines }

  function latestOf(row: RowReading, at: number): number | null {
    const grafts = row.facts.grafts.filter((graft) => graft.position === at)
    const seasonOf = seasonsIn(zone)
    return grafts.length === 0
      ? null
      : Math.max(...grafts.map((graft) => seasonOf(graft.grafted_at)))
  }
}

async function save(c: Context<Env>, take: TakeContext, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const at = form.when('when', 'When', take.zone, clock.now())
  const personId = await personWho(c, form, at)
  const note = typedNote(form, 'note', 'the note')
  const shoot = form.optionalWhole('shootLengthMm', 'the length of the shoot', 0, 10_000)
  const typed = typedCounts(
    take.listed,
    (graftId) => ({
      growing: form.raw(countField('growing', graftId)),
      callused: form.raw(countField('callused', graftId)),
      failed: form.raw(countField('failed', graftId)),
    }),
    countField,
  )
  const quick = readQuick(take, form)
  form.addProblems([...typed.problems, ...quick.problems])
  form.addProblems(bothProblems(typed.counts, quick.counts))
  const counts = [...quick.counts, ...typed.counts].sort((one, two) => one.position - two.position)
  form.addProblems(earlyProblems(take, counts, at))
  if (counts.length === 0 && typed.problems.length + quick.problems.length === 0) {
    const field = take.position === null ? 'growFrom' : firstField(take)
    form.problem(field, 'nothing was counted: fill in a line, or a stretch that grows')
  }
  form.check()
  const rowId = take.reading.facts.row.row_id
  const drafts = counts.map((count): Draft => {
    return { kind: 'take.checked', occurredAt: at, body: checkBody(rowId, count, shoot, note) }
  })
  const ids = await recordAtDesk(db, { ...deskOf(c), personId }, drafts)
  const back =
    take.position === null ? `/blocks/rows/${rowId}` : `/blocks/vines/${rowId}/${take.position}`
  return afterSaving(back, ids.length)
}

function readQuick(
  take: TakeContext,
  form: FormReader,
): { counts: VineCount[]; problems: FieldProblem[] } {
  const none = { counts: [], problems: [] }
  if (take.position !== null) return none
  if (['growFrom', 'growTo', 'except'].every((name) => form.raw(name) === '')) return none
  const fromPosition = form.whole('growFrom', 'the first vine', 1, POSITION_LIMIT)
  const toPosition = form.whole('growTo', 'the last vine', 1, POSITION_LIMIT)
  const buds = form.choice('growBuds', 'how many buds grow on each', ['all', 'one'])
  if (form.raw('growFrom') === '' || form.raw('growTo') === '') return none
  return quickCounts(take.vines, { fromPosition, toPosition, buds, except: form.raw('except') })
}

/** A vine is counted once: in the stretch, or on its own line. */
function bothProblems(typed: readonly VineCount[], quick: readonly VineCount[]): FieldProblem[] {
  const inStretch = new Set(quick.map((count) => count.position))
  return typed
    .filter((count) => inStretch.has(count.position))
    .map(({ position, grafts }) => ({
      field: countField('growing', grafts[0]?.graft?.graft_id ?? ''),
      message:
        `vine ${position} is counted in the stretch above as well: name it there as not seen, ` +
        'or empty this line',
    }))
}

/** Nobody sees a graft grow before it is made. */
function earlyProblems(take: TakeContext, counts: readonly VineCount[], at: Date): FieldProblem[] {
  const early = counts.find(({ position }) =>
    (take.vines.get(position) ?? []).some((graft) => graft.grafted_at > at),
  )
  if (early === undefined) return []
  const message = `vine ${early.position} was grafted only after this time: check the time`
  return [{ field: 'when', message }]
}

function firstField(take: TakeContext): string {
  const [grafts] = take.listed.values()
  return countField('growing', grafts?.[0]?.graft_id ?? '')
}

async function page(c: Context<Env>, take: TakeContext, form: FormState) {
  const people = await listPeople(c.get('services').db)
  return <TakePage c={c} take={take} people={people} form={form} />
}
