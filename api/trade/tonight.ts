// Which wood to pull and soak so that enough buds are ready in the morning.
import { budSupply } from './bud-supply.ts'
import { MS_PER_HOUR, MS_PER_MINUTE } from './intervals.ts'
import type { KnownLotFacts, RowPlan } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { fitForTonight } from './tonight-fit.ts'
import type { Fit } from './tonight-fit.ts'
import { intoBaths } from './tonight-baths.ts'
import type { TankOfWater } from './tonight-baths.ts'

/** Vines of one row, or a stretch of it, that are to be grafted by one plan. */
export interface RowNeed {
  readonly rowId: string
  readonly vines: number
  readonly budsPerVine: number
  readonly plan: RowPlan
}

/** Wood of one lot and bundle in one place, or in water since `inWaterSince`. */
export interface WoodAtHand {
  readonly key: string
  readonly facts: KnownLotFacts
  readonly sticks: number
  readonly budsPerStick: number
  /** Epoch milliseconds; null where it lies dry. */
  readonly inWaterSince: number | null
  /** The older is used first: days by the readings where there are any, else by the calendar. */
  readonly ageDays: number
}

export interface TonightQuestion {
  /** Times in epoch milliseconds. */
  readonly now: number
  readonly readyAt: number
  /** When somebody would put the wood in; moved where the soak would be too short or too long. */
  readonly intoWaterAt: number
  readonly drainMinutes: number
  readonly overageShare: number
  readonly useCautioned: boolean
  readonly needs: readonly RowNeed[]
  readonly wood: readonly WoodAtHand[]
  readonly tanks: readonly TankOfWater[]
}

export interface SoakTimes {
  readonly intoWaterAt: number
  readonly outOfWaterAt: number
  readonly readyAt: number
  readonly soakHours: number
}

/** What keeps the plan from being whole; times in epoch milliseconds. */
export type TonightProblem =
  | { readonly code: 'too late'; readonly soonestReadyAt: number }
  | { readonly code: 'moved'; readonly wishedAt: number }
  | { readonly code: 'no tank' }
  | { readonly code: 'tanks full'; readonly sticks: number }

/** Rows that ask for the same wood. */
export interface NeedGroup {
  readonly key: string
  readonly plan: RowPlan
  readonly rowIds: readonly string[]
  readonly vines: number
  readonly budsToSet: number
  readonly budsWanted: number
  readonly budsFound: number
  /** Buds to set that no fit wood is there for; the overage is not counted as missing. */
  readonly shortage: number
}

/** One thing to do: so many sticks of one piece of wood, into one tank. */
export interface PullLine {
  readonly woodKey: string
  readonly groupKey: string
  readonly sticks: number
  readonly buds: number
  /** True when it lies in water already and is only left there. */
  readonly stays: boolean
  /** Null where it stays, or no tank has room. */
  readonly tankKey: string | null
  readonly fit: Fit
}

export interface TonightPlan {
  /** Null when no soak can be long enough by then. */
  readonly times: SoakTimes | null
  readonly outOfWaterAt: number
  readonly problems: readonly TonightProblem[]
  readonly groups: readonly NeedGroup[]
  readonly lines: readonly PullLine[]
  /** Wood of a planned variety that was passed over because it is not fit, with the reasons. */
  readonly passedOver: readonly { readonly woodKey: string; readonly fit: Fit }[]
}

/**
 * Plans one night. Only whole sticks are pulled, never more than are there, never held wood, and
 * only wood that the one judgement will call rightly soaked at `readyAt` and not stopped. Wood
 * already in water comes first, then ready wood, then (if asked for) wood with a caution; the
 * older first, and equals in the order given. Groups with the least fit wood choose first.
 *
 * @throws RangeError when a count is not whole or a share is out of range
 */
export function planTonight(question: TonightQuestion, policies: Policies): TonightPlan {
  const outOfWaterAt = question.readyAt - question.drainMinutes * MS_PER_MINUTE
  const { times, problems } = soakTimes(question, policies, outOfWaterAt)
  const groups = groupsOf(question)
  const fits = groups.map((group) => ({ group, wood: fitWood(question, policies, group, times) }))
  const left = new Map(question.wood.map(({ key, sticks }) => [key, Math.max(0, sticks)]))
  const order = [...fits].sort((one, other) => stockOf(one.wood) - stockOf(other.wood))
  const pulled: PullLine[] = []
  for (const { group, wood } of order) pulled.push(...pull(group, usable(wood, question), left))
  const { lines, problem } = intoBaths(pulled, question.tanks, policies)
  return {
    times,
    outOfWaterAt,
    problems: [...problems, ...(problem === null ? [] : [problem])],
    groups: groups.map((group) => withFound(group, lines)),
    lines,
    passedOver: passedOver(fits, question),
  }
}

type Group = Omit<NeedGroup, 'budsFound' | 'shortage'>
type FitWood = { readonly wood: WoodAtHand; readonly fit: Fit }

/** The soak keeps to the policy's hours, ends before draining, and begins not before now. */
function soakTimes(
  question: TonightQuestion,
  policies: Policies,
  outOfWaterAt: number,
): { times: SoakTimes | null; problems: TonightProblem[] } {
  const { now, readyAt, intoWaterAt: wishedAt, drainMinutes } = question
  const least = policies.soakMinHours.value * MS_PER_HOUR
  const latest = outOfWaterAt - least
  const earliest = Math.max(now, outOfWaterAt - policies.soakMaxHours.value * MS_PER_HOUR)
  if (latest < earliest) {
    const soonestReadyAt = now + least + drainMinutes * MS_PER_MINUTE
    return { times: null, problems: [{ code: 'too late', soonestReadyAt }] }
  }
  const intoWaterAt = Math.min(latest, Math.max(earliest, wishedAt))
  const soakHours = (outOfWaterAt - intoWaterAt) / MS_PER_HOUR
  const moved = intoWaterAt !== Math.max(now, wishedAt)
  return {
    times: { intoWaterAt, outOfWaterAt, readyAt, soakHours },
    problems: moved ? [{ code: 'moved', wishedAt }] : [],
  }
}

function groupsOf({ needs, overageShare }: TonightQuestion): Group[] {
  const byKey = new Map<string, RowNeed[]>()
  for (const need of needs) {
    const { varietyId, clone, scheme, minimumClass } = need.plan
    const key = JSON.stringify([varietyId, clone, scheme, minimumClass])
    byKey.set(key, [...(byKey.get(key) ?? []), need])
  }
  return [...byKey].flatMap(([key, same]) => {
    const [first] = same
    if (first === undefined) return []
    const supplies = same.map(({ vines, budsPerVine }) =>
      budSupply({ vines, budsPerVine, overageShare, usableBudsPerStick: 1, packageSticks: 1 }),
    )
    return [
      {
        key,
        plan: first.plan,
        rowIds: [...new Set(same.map(({ rowId }) => rowId))],
        vines: same.reduce((sum, { vines }) => sum + vines, 0),
        budsToSet: supplies.reduce((sum, { budsToSet }) => sum + budsToSet, 0),
        budsWanted: supplies.reduce((sum, { budsToOrder }) => sum + budsToOrder, 0),
      },
    ]
  })
}

/** Wood of the planned variety, each judged for the plan; in the order in which it is used. */
function fitWood(
  question: TonightQuestion,
  policies: Policies,
  { plan }: Group,
  times: SoakTimes | null,
): FitWood[] {
  return question.wood
    .filter(({ facts, sticks, budsPerStick }) => {
      const isPlanned = plan.varietyId === null || facts.varietyId === plan.varietyId
      return isPlanned && facts.material === 'scion wood' && sticks > 0 && budsPerStick > 0
    })
    .map((wood) => ({ wood, fit: fitForTonight(wood, plan, { question, policies, times }) }))
    .sort((one, other) => rank(one) - rank(other) || other.wood.ageDays - one.wood.ageDays)
}

const rank = ({ wood, fit }: FitWood): number =>
  (wood.inWaterSince === null ? 1 : 0) + (fit.use === 'ready' ? 0 : 2)

const usable = (wood: readonly FitWood[], { useCautioned }: TonightQuestion): FitWood[] =>
  wood.filter(({ fit }) => fit.use === 'ready' || (useCautioned && fit.use === 'caution'))

const stockOf = (wood: readonly FitWood[]): number =>
  wood
    .filter(({ fit }) => fit.use === 'ready')
    .reduce((sum, { wood: { sticks, budsPerStick } }) => sum + sticks * budsPerStick, 0)

/** Takes whole sticks until the buds wanted are reached; what is taken is off `left`. */
function pull(group: Group, wood: readonly FitWood[], left: Map<string, number>): PullLine[] {
  const lines: PullLine[] = []
  let wanted = group.budsWanted
  for (const { wood: piece, fit } of wood) {
    if (wanted <= 0) break
    const there = left.get(piece.key) ?? 0
    const sticks = Math.min(there, Math.ceil(wanted / piece.budsPerStick))
    if (sticks <= 0) continue
    left.set(piece.key, there - sticks)
    const buds = sticks * piece.budsPerStick
    wanted -= buds
    const stays = piece.inWaterSince !== null
    lines.push({
      ...{ woodKey: piece.key, groupKey: group.key, sticks, buds, stays, tankKey: null, fit },
    })
  }
  return lines
}

function withFound(group: Group, lines: readonly PullLine[]): NeedGroup {
  const budsFound = lines
    .filter(({ groupKey }) => groupKey === group.key)
    .reduce((sum, { buds }) => sum + buds, 0)
  return { ...group, budsFound, shortage: Math.max(0, group.budsToSet - budsFound) }
}

function passedOver(
  fits: readonly { readonly wood: readonly FitWood[] }[],
  question: TonightQuestion,
): TonightPlan['passedOver'] {
  const best = new Map<string, Fit>()
  for (const { wood } of fits) {
    for (const { wood: piece, fit } of wood) {
      const isUsable = fit.use === 'ready' || (question.useCautioned && fit.use === 'caution')
      if (isUsable) best.set(piece.key, fit)
      else if (!best.has(piece.key)) best.set(piece.key, fit)
    }
  }
  return [...best].flatMap(([woodKey, fit]) => {
    const isUsable = fit.use === 'ready' || (question.useCautioned && fit.use === 'caution')
    return isUsable ? [] : [{ woodKey, fit }]
  })
}
