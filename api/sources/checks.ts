// What the desk refuses about sources, changes of their standing, and their tests.
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { foldName } from '../nursery/closest-name.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { descendants } from '../trace/lineage.ts'
import type { Standing, StandingRow } from './read.ts'
import { registerTwins } from './twins.ts'

/** A source as typed; lots, rows and parents have been looked up. */
export type SourceWish = {
  sourceId: string | null
  level: 'block' | 'vine'
  name: string
  registryNumber: string | null
  varietyId: string
  plantedYear: number | null
  parent: { sourceId: string; level: string; name: string; varietyId: string } | null
  originLot: { lotId: string; reference: string; varietyId: string } | null
  vine: { rowId: string; position: number; stands: boolean; rowName: string } | null
}

/** Every problem of a source at its field. */
export async function sourceProblems(db: Database, wish: SourceWish): Promise<FieldProblem[]> {
  const twins = await registerTwins(db, wish)
  return [
    ...twinProblems(wish, twins),
    ...parentProblems(wish),
    ...originProblems(wish),
    ...vineProblems(wish, twins),
    ...(await circleProblems(db, wish)),
  ]
}

type Twins = Awaited<ReturnType<typeof registerTwins>>

function twinProblems(wish: SourceWish, twins: Twins): FieldProblem[] {
  const problems: FieldProblem[] = []
  const namesake = twins.find(
    (twin) =>
      twin.parent_source_id === (wish.parent?.sourceId ?? null) &&
      foldName(twin.name) === foldName(wish.name),
  )
  if (namesake !== undefined && wish.name !== '') {
    const message = `there is a source ${namesake.name} already: choose another name`
    problems.push({ field: 'name', message })
  }
  const { registryNumber } = wish
  const numbered = twins.find((twin) => twin.registry_number === registryNumber)
  if (registryNumber !== null && numbered !== undefined) {
    const message = `the registry number ${registryNumber} is that of ${numbered.name}: check it`
    problems.push({ field: 'registryNumber', message })
  }
  return problems
}

function parentProblems({ level, parent, sourceId, varietyId }: SourceWish): FieldProblem[] {
  if (parent === null) return []
  const problem = (message: string) => [{ field: 'parentSourceId', message }]
  if (level === 'block') return problem('a source block stands in no other: leave this empty')
  if (parent.sourceId === sourceId)
    return problem('a vine does not stand in itself: choose a block')
  if (parent.level !== 'block') {
    return problem(`${parent.name} is a single vine: choose the block, or none`)
  }
  if (parent.varietyId === varietyId) return []
  return [
    {
      field: 'varietyId',
      message: `the block ${parent.name} is of another variety: choose that one, or another block`,
    },
  ]
}

function originProblems({ originLot, varietyId }: SourceWish): FieldProblem[] {
  if (originLot === null || originLot.varietyId === varietyId) return []
  const message = `lot ${originLot.reference} is of another variety: check the lot and the variety`
  return [{ field: 'originLot', message }]
}

function vineProblems({ level, vine, sourceId }: SourceWish, twins: Twins): FieldProblem[] {
  if (vine === null) return []
  const problem = (message: string) => [{ field: 'vinePosition', message }]
  if (level === 'block') {
    return [
      { field: 'vineRow', message: 'only a single vine has a place in a row: leave it empty' },
    ]
  }
  const where = `vine ${vine.position} of ${vine.rowName}`
  if (!vine.stands) return problem(`no ${where} stands now: check the position`)
  const taken = twins.find(
    (twin) =>
      twin.row_id === vine.rowId && twin.position === vine.position && twin.source_id !== sourceId,
  )
  return taken === undefined ? [] : problem(`${where} serves as ${taken.name} already`)
}

/** Nothing is grown from itself. */
async function circleProblems(db: Database, wish: SourceWish): Promise<FieldProblem[]> {
  const { sourceId, originLot } = wish
  if (sourceId === null || originLot === null) return []
  const { ids } = await descendants(db, [sourceId])
  if (!ids.includes(originLot.lotId)) return []
  const message = `lot ${originLot.reference} came of this very source: choose the lot it grew from`
  return [{ field: 'originLot', message }]
}

/** A change that changes nothing says so. */
export function standingProblems(
  history: readonly StandingRow[],
  change: { standing: Standing; effectiveFrom: string },
): FieldProblem[] {
  const before = history.find((row) => row.effective_from <= change.effectiveFrom)
  if (before?.standing !== change.standing) return []
  const message =
    `the standing is ${change.standing} from ${before.effective_from} on already: ` +
    'choose another standing or an earlier day'
  return [{ field: 'standing', message }]
}

/** A sample is taken before its result is entered. */
export function testProblems(sampledOn: string, now: Date, zone: string): FieldProblem[] {
  if (sampledOn <= localDay(now.getTime(), zone)) return []
  return [{ field: 'sampledOn', message: 'this day is still to come: give the day of sampling' }]
}
