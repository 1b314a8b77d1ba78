// Cuts a lot's time into pieces in each of which the same loggers tell how warm it was.
import type { Span } from '#trade/intervals.ts'
import type { LoggerGroup, PlaceLoggers } from '../store/place-loggers.ts'

/** One time of a lot's wood in a place, or in a tank (epoch milliseconds). */
export type LainSpan = Span & { placeId: string; inWater: boolean }

/** A lot as far as its warmth is concerned. */
export type LainLot = { lotId: string; cutAt: number | null; lain: readonly LainSpan[] }

/** A piece of time (epoch milliseconds), with one group of loggers for each place. */
export type ThermalPiece = { from: number; to: number; groups: LoggerGroup[] }

/**
 * The pieces of a lot's time from cutting to `at` for which some logger stood where it lay. Stays
 * before cutting do not count, nor a span that ends before it begins.
 */
export function thermalPieces(lot: LainLot, loggers: PlaceLoggers, at: number): ThermalPiece[] {
  const spans = lot.lain.flatMap((span) => clipped(span, lot.cutAt ?? span.beganAt, at))
  const cuts = new Set<number>()
  for (const { placeId, inWater, from, to } of spans) {
    cuts.add(from).add(to)
    for (const change of loggers.changes(placeId, from, to, inWater)) cuts.add(change)
  }
  const times = [...cuts].sort((one, other) => one - other)
  return times.slice(1).flatMap((to, nr): ThermalPiece[] => {
    const from = times[nr] ?? to
    const groups = new Map<string, LoggerGroup>()
    for (const span of spans) {
      if (span.from > from || span.to < to) continue
      const group = loggers.nearest(span.placeId, from, span.inWater)
      if (group !== null) groups.set(group.placeId, group)
    }
    return groups.size === 0 ? [] : [{ from, to, groups: [...groups.values()] }]
  })
}

function clipped(span: LainSpan, least: number, most: number) {
  const from = Math.max(span.beganAt, least)
  const to = Math.min(span.endedAt ?? most, most)
  return to <= from ? [] : [{ placeId: span.placeId, inWater: span.inWater, from, to }]
}
