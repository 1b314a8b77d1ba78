// Reads what the answers of a dossier are worked out from, before its entries are chosen.
import type { LotFacts } from '#trade/lot-facts.ts'
import { isTimeZone, localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { auditLots, readAuditLimits } from '../custody/audit.ts'
import type { AuditLimits, LotAudit } from '../custody/audit.ts'
import { readLotFacts } from '../lots/lot-facts.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import type { DossierScope } from './scope.ts'
import { readSupports } from './support.ts'
import type { Supports } from './support.ts'
import { judgeOnDays } from './warmth.ts'
import type { JudgedDays } from './warmth.ts'

/** What is judged, and the entries that it rests on. */
export type Ground = {
  zone: string
  lotFacts: Map<string, LotFacts>
  judged: JudgedDays
  audit: { lots: readonly LotAudit[]; limits: AuditLimits }
  supports: Supports
  /** Ids of all entries that something of this rests on. */
  entryIds: string[]
}

/** Reads it for one scope, as the records stand now. */
export async function readGround(db: Database, scope: DossierScope, now: Date): Promise<Ground> {
  const told = await nurseryTimeZone(db)
  const zone = isTimeZone(told) ? told : 'UTC'
  const lotIds = scope.lots.map((lot) => lot.lot_id)
  const lotFacts = await readLotFacts(db, lotIds, now)
  const judged = await judgeOnDays(db, scope, lotFacts, zone)
  const holdIds = [...lotFacts.values()].flatMap((lot) =>
    lot.known ? lot.holds.map((hold) => hold.holdId) : [],
  )
  const loggerIds = judged.lines.flatMap(({ warmth }) =>
    (warmth?.pieces ?? []).map(({ loggerId }) => loggerId),
  )
  const supports = await readSupports(db, scope, {
    holdIds: [...new Set(holdIds)],
    loggerIds: [...new Set(loggerIds)],
    untilDay: localDay(now.getTime() + 86_400_000, zone),
  })
  const limits = await readAuditLimits(db, now)
  const audit = { lots: await auditLots(db, lotIds, limits, now), limits }
  const readings = judged.lines.flatMap((line) => line.readings.map(({ entryId }) => entryId))
  return {
    zone,
    lotFacts,
    judged,
    audit,
    supports,
    entryIds: [...new Set([...supports.all, ...readings])],
  }
}
