// Which loggers tell of a place: those in it, else those in the nearest place around it.
import type { Logger, LoggerStanding } from './loggers.ts'
import type { PlaceInTree } from './places.ts'

/** The loggers that stand in one place at the same time. */
export type LoggerGroup = { placeId: string; loggerIds: string[] }

/** Looks up loggers by place and time. */
export class PlaceLoggers {
  private readonly around = new Map<string, string | null>()
  private readonly standings = new Map<string, LoggerStanding[]>()

  constructor(places: readonly PlaceInTree[], loggers: readonly Logger[]) {
    for (const { placeId, insidePlaceId } of places) this.around.set(placeId, insidePlaceId)
    for (const standing of loggers.flatMap((logger) => logger.standings)) {
      const { placeId } = standing
      this.standings.set(placeId, [...(this.standings.get(placeId) ?? []), standing])
    }
  }

  /** The place and those around it, innermost first; alone for wood in water. */
  private chain(placeId: string, alone: boolean): string[] {
    const chain: string[] = []
    for (let at: string | null = placeId; at !== null && !chain.includes(at);) {
      chain.push(at)
      at = alone ? null : (this.around.get(at) ?? null)
    }
    return chain
  }

  /**
   * The loggers nearest to a place at a moment (epoch milliseconds). Water in a tank has its own
   * temperature: for wood in it (`alone`) only a logger in the tank itself tells.
   */
  nearest(placeId: string, at: number, alone = false): LoggerGroup | null {
    for (const place of this.chain(placeId, alone)) {
      const standing = (this.standings.get(place) ?? []).filter(
        ({ fromAt, untilAt }) => fromAt <= at && (untilAt === null || at < untilAt),
      )
      const loggerIds = [...new Set(standing.map(({ loggerId }) => loggerId))].sort()
      if (loggerIds.length > 0) return { placeId: place, loggerIds }
    }
    return null
  }

  /** The moments between `from` and `to` at which another logger may be nearest. */
  changes(placeId: string, from: number, to: number, alone = false): number[] {
    return this.chain(placeId, alone)
      .flatMap((place) => this.standings.get(place) ?? [])
      .flatMap(({ fromAt, untilAt }) => [fromAt, untilAt ?? Number.POSITIVE_INFINITY])
      .filter((at) => at > from && at < to)
  }
}
