// Says an audit of custody in words: what the other side of a handover said, and what is short.
import type { HandoverLine, LotAudit } from './audit.ts'

/** How names and moments are written where the words stand. */
export type HandoverWording = { name: (id: string) => string; time: (at: Date) => string }

/** What the other side said, by whom and when; or that it said nothing. */
export function handoverWords(line: HandoverLine, { name, time }: HandoverWording): string {
  if (line.acceptedAt === null || line.acceptedBy === null) {
    return line.waits ? 'nothing yet' : 'never accepted'
  }
  const by = `by ${name(line.acceptedBy)}, ${time(line.acceptedAt)}`
  switch (line.state) {
    case 'differs':
      return `counted ${line.acceptedCount ?? 0}, or other wood, ${by}`
    case 'own hand':
      return `accepted by the person who gave it, ${by}`
    case 'accepted late':
      return `accepted late ${by}`
    default:
      return `accepted ${by}`
  }
}

/** How far a lot adds up. */
export function lackWords({ balance, isWithinTolerance }: LotAudit): string {
  if (balance.short === 0) return 'adds up'
  const lack = `${balance.short} of ${balance.cameIn} buds went out more than there were`
  return isWithinTolerance ? `${lack}; within tolerance` : lack
}
