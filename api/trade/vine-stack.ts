// One vine's stack of layers, worked out from its trunk and every graft attempted on it.
import { MS_PER_DAY } from './intervals.ts'

export type Origin =
  | { readonly kind: 'lot'; readonly lotId: string }
  | { readonly kind: 'source'; readonly sourceId: string }
  | { readonly kind: 'unknown' }

/** What stood before grafting, from the roots up. An own-rooted vine is its own rootstock. */
export interface TrunkLayer {
  readonly role: 'rootstock' | 'interstock'
  readonly varietyId: string
  readonly clone: string | null
  readonly origin: Origin
  readonly plantedYear: number | null
}

/** How many of the buds set were growing, callused but still, or failed at one look. */
export interface TakeCheck {
  /** The entry's UUIDv7; of two checks at the same time the later id counts. */
  readonly checkId: string
  readonly checkedAt: number
  readonly growing: number
  readonly callused: number
  readonly failed: number
}

/** One attempt. Times are epoch milliseconds. */
export interface GraftAttempt {
  readonly graftId: string
  readonly lotId: string
  readonly varietyId: string
  readonly clone: string | null
  readonly method: string
  readonly budCount: number
  readonly graftedAt: number
  readonly removedAt: number | null
  readonly takeChecks: readonly TakeCheck[]
  /** What it was set on: the trunk, an earlier graft, or null where nobody recorded it. */
  readonly setOn?: 'trunk' | { readonly graftId: string } | null
}

export type GraftOutcome = 'growing' | 'callused' | 'failed' | 'not checked' | 'removed'

export interface JudgedAttempt extends GraftAttempt {
  readonly outcome: GraftOutcome
  readonly latestCheck: TakeCheck | null
}

/** One tissue. Scions side by side are several layers; `graftIds` is empty for the trunk. */
export interface VineLayer {
  readonly role: 'rootstock' | 'interstock' | 'scion'
  readonly varietyId: string
  readonly clone: string | null
  readonly origin: Origin
  readonly plantedYear: number | null
  readonly graftIds: readonly string[]
  /** False for wood that no check has yet found growing. */
  readonly established: boolean
}

/** Layers from the roots up; attempts in the order of time. */
export interface VineStack {
  readonly layers: readonly VineLayer[]
  readonly attempts: readonly JudgedAttempt[]
}

/**
 * Days from a round's first graft within which further grafts on the vine belong to the same
 * round and stand side by side: half a year, for windows run from March to July (common practice,
 * no source).
 */
export const GRAFTING_ROUND_DAYS = 183

/**
 * Works out the stack. A graft becomes a layer unless it failed or was removed; a graft of a later
 * round that grows turns the scions before it into interstock, unless `setOn` says that it was set
 * on the trunk or on one of them. The order of the attempts and of their checks does not matter.
 */
export function vineStack(
  trunk: readonly TrunkLayer[],
  attempts: readonly GraftAttempt[],
): VineStack {
  const judged = attempts.map(judgedAttempt).sort(byTime)
  const living = judged.filter(({ outcome }) => outcome !== 'failed' && outcome !== 'removed')
  const overgrown = overgrownGrafts(living, roundsOf(judged))
  const trunkLayers = trunk.map((layer): VineLayer => {
    return { ...layer, graftIds: [], established: true }
  })
  const interstocks = living.filter(({ graftId }) => overgrown.has(graftId))
  const scions = living.filter(({ graftId }) => !overgrown.has(graftId))
  const layers = [
    ...trunkLayers,
    ...layersOf(interstocks, 'interstock'),
    ...layersOf(scions, 'scion'),
  ]
  return { layers, attempts: judged }
}

/** Where all of a vine came from, and which lots only touched it. Ids in order, once each. */
export interface VineOrigins {
  readonly lotIds: readonly string[]
  readonly sourceIds: readonly string[]
  /** True when a layer's origin is unknown, or nothing is known of the trunk. */
  readonly originUnknown: boolean
  /** Lots of failed and removed grafts: no part of the vine, yet they were joined to it. */
  readonly touchedLotIds: readonly string[]
}

/** The origins of every layer, root to scion: a vine is no cleaner than the worst of them. */
export function originLots(stack: VineStack): VineOrigins {
  const lotIds = new Set<string>()
  const sourceIds = new Set<string>()
  for (const { origin } of stack.layers) {
    if (origin.kind === 'lot') lotIds.add(origin.lotId)
    if (origin.kind === 'source') sourceIds.add(origin.sourceId)
  }
  const touched = stack.attempts.map((attempt) => attempt.lotId).filter((id) => !lotIds.has(id))
  return {
    lotIds: [...lotIds].sort(),
    sourceIds: [...sourceIds].sort(),
    originUnknown:
      !stack.layers.some((layer) => layer.graftIds.length === 0) ||
      stack.layers.some((layer) => layer.origin.kind === 'unknown'),
    touchedLotIds: [...new Set(touched)].sort(),
  }
}

/** The check that counts: the latest, and of equal times the one recorded with the later id. */
export function latestCheckOf(checks: readonly TakeCheck[]): TakeCheck | null {
  let latest: TakeCheck | null = null
  for (const check of checks) {
    const isLater =
      latest === null ||
      check.checkedAt > latest.checkedAt ||
      (check.checkedAt === latest.checkedAt && check.checkId > latest.checkId)
    if (isLater) latest = check
  }
  return latest
}

function judgedAttempt(attempt: GraftAttempt): JudgedAttempt {
  const latestCheck = latestCheckOf(attempt.takeChecks)
  const outcome = attempt.removedAt === null ? outcomeOf(attempt, latestCheck) : 'removed'
  return { ...attempt, outcome, latestCheck }
}

/** One living bud is enough; failure is only said when every bud set was seen to have failed. */
function outcomeOf(attempt: GraftAttempt, check: TakeCheck | null): GraftOutcome {
  if (check === null) return 'not checked'
  if (check.growing > 0) return 'growing'
  if (check.callused > 0) return 'callused'
  return check.failed > 0 && check.failed >= attempt.budCount ? 'failed' : 'not checked'
}

function byTime(one: GraftAttempt, other: GraftAttempt): number {
  return one.graftedAt - other.graftedAt || (one.graftId < other.graftId ? -1 : 1)
}

/** The number of the round each graft belongs to; failed ones count, so a re-graft joins them. */
function roundsOf(ordered: readonly JudgedAttempt[]): ReadonlyMap<string, number> {
  const rounds = new Map<string, number>()
  let round = 0
  let roundBeganAt = Number.NEGATIVE_INFINITY
  for (const attempt of ordered) {
    if (attempt.graftedAt - roundBeganAt > GRAFTING_ROUND_DAYS * MS_PER_DAY) {
      round += 1
      roundBeganAt = attempt.graftedAt
    }
    rounds.set(attempt.graftId, round)
  }
  return rounds
}

function overgrownGrafts(
  living: readonly JudgedAttempt[],
  rounds: ReadonlyMap<string, number>,
): ReadonlySet<string> {
  const roundOf = (attempt: JudgedAttempt): number => rounds.get(attempt.graftId) ?? 0
  const overgrown = new Set<string>()
  for (const later of living.filter(({ outcome }) => outcome === 'growing')) {
    const setOn = later.setOn ?? null
    if (setOn === 'trunk') continue
    for (const earlier of living) {
      const isUnder =
        setOn === null
          ? roundOf(earlier) < roundOf(later)
          : setOn.graftId === earlier.graftId && byTime(earlier, later) < 0
      if (isUnder) overgrown.add(earlier.graftId)
    }
  }
  return overgrown
}

/** Grafts of the same wood form one layer; interstocks of different rounds stay in time order. */
function layersOf(attempts: readonly JudgedAttempt[], role: 'interstock' | 'scion'): VineLayer[] {
  const groups = new Map<string, JudgedAttempt[]>()
  for (const attempt of attempts) {
    const key = JSON.stringify([attempt.lotId, attempt.varietyId, attempt.clone])
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [attempt])
    else group.push(attempt)
  }
  return [...groups.values()].flatMap((group): VineLayer[] => {
    const first = group[0]
    if (first === undefined) return []
    return [
      {
        role,
        varietyId: first.varietyId,
        clone: first.clone,
        origin: { kind: 'lot', lotId: first.lotId },
        plantedYear: null,
        graftIds: group.map((attempt) => attempt.graftId),
        established: group.some((attempt) => attempt.outcome === 'growing'),
      },
    ]
  })
}
