// Which tank tonight's wood goes into, by the sticks that its water has room for.
import type { Policies } from './policies.ts'
import type { PullLine, TonightProblem } from './tonight.ts'

/** A tank for tonight, filled already or to be filled. */
export interface TankOfWater {
  readonly key: string
  /** Null when nobody recorded it: then room is not reckoned. */
  readonly litres: number | null
  /** Sticks that lie in it now. */
  readonly sticksIn: number
}

/** Sticks that still fit into a tank; null when its litres are not known. */
export function roomIn({ litres, sticksIn }: TankOfWater, policies: Policies): number | null {
  if (litres === null) return null
  return Math.max(0, Math.floor(litres * policies.bathSticksPerLitre.value + 1e-9) - sticksIn)
}

/**
 * Gives each line that must go into water a tank: the first that has room for all of it, else it
 * is parted over those with some room. What finds no room keeps no tank, and a problem says so.
 */
export function intoBaths(
  lines: readonly PullLine[],
  tanks: readonly TankOfWater[],
  policies: Policies,
): { lines: PullLine[]; problem: TonightProblem | null } {
  const isPulled = lines.some(({ stays }) => !stays)
  if (tanks.length === 0) {
    return { lines: [...lines], problem: isPulled ? { code: 'no tank' } : null }
  }
  const rooms = tanks.map((tank) => ({
    key: tank.key,
    room: roomIn(tank, policies) ?? Number.POSITIVE_INFINITY,
  }))
  const placed = lines.flatMap((line) => (line.stays ? [line] : place(line, rooms)))
  const outside = placed.filter(({ stays, tankKey }) => !stays && tankKey === null)
  const sticks = outside.reduce((sum, line) => sum + line.sticks, 0)
  return { lines: placed, problem: sticks === 0 ? null : { code: 'tanks full', sticks } }
}

function place(line: PullLine, rooms: { key: string; room: number }[]): PullLine[] {
  const whole = rooms.find(({ room }) => room >= line.sticks)
  const parts: PullLine[] = []
  let rest = line.sticks
  for (const tank of whole === undefined ? rooms : [whole]) {
    const sticks = Math.min(rest, tank.room)
    if (sticks <= 0) continue
    tank.room -= sticks
    rest -= sticks
    parts.push({ ...partOf(line, sticks), tankKey: tank.key })
  }
  if (rest > 0) parts.push(partOf(line, rest))
  return parts
}

function partOf(line: PullLine, sticks: number): PullLine {
  return { ...line, sticks, buds: (line.buds / line.sticks) * sticks }
}
