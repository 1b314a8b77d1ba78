// Reads from the records what judgement needs to know about lots.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import type { KnownLotFacts, LotFacts, Material, StockLeft, TagFacts } from '#trade/lot-facts.ts'
import { planForLot } from '#trade/row-plan.ts'
import type { PlannedStretch } from '#trade/row-plan.ts'
import { openedStock } from '#trade/stock-left.ts'
import { originsOf } from '#trade/wood-origins.ts'
import type { LotOrigin } from '#trade/wood-origins.ts'
import type { WoodAsked } from '#trade/wood-pieces.ts'
import type { WoodSpan } from '#trade/wood-spans.ts'
import { isTimeZone, localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import { readPlans } from '../nursery/read-blocks.ts'
import type { PlanNow } from '../nursery/read-blocks.ts'
import { isCooled, readPlaces } from '../store/places.ts'
import type { PlaceInTree } from '../store/places.ts'
import { readDryingAir } from '../store/weather.ts'
import { readLotChecks } from './lot-checks.ts'
import { readLotHolds } from './lot-holds.ts'
import { withThermal } from './lot-thermal.ts'
import { readSources } from './lot-origins.ts'
import { readUpstream } from './upstream.ts'
import type { LotRow } from './upstream.ts'
import { readWoodSpans } from './wood-spans.ts'

/** What is asked of the lots, where it is not simply the whole of each. */
export type LotQuestion = WoodAsked & {
  /** Where it is to be set: the row's plan for the season of the day asked about. */
  row?: { rowId: string; position: number | null }
  /** The tag that was scanned. */
  code?: string
}

/**
 * The facts for judgement of each lot, from the records as they stand now; a lot that no entry
 * made is `known: false`. `at` decides only which season's plan applies, by the nursery's
 * calendar, which day's weather, and up to when readings are summed. A constant number of queries,
 * however many lots.
 *
 * Stays and soaks are those of the wood in question and of the lots it was made from, until they
 * were parted; a soak ends at the latest when its bath is emptied. `left` counts wood in places,
 * baths and hands, with sticks opened for buds already taken. A source that is registered is in
 * good standing unless an entry says otherwise; one that is not has no standing.
 */
export async function readLotFacts(
  db: Database,
  lotIds: readonly string[],
  at: Date,
  question: LotQuestion = {},
): Promise<Map<string, LotFacts>> {
  if (lotIds.length === 0) return new Map()
  const zone = await readZone(db)
  const upstream = await readUpstream(db, lotIds)
  const [places, spans, sources, left, tag, plans] = await Promise.all([
    readPlaces(db),
    readWoodSpans(db, upstream, question),
    readSources(db, upstream, zone),
    readLeft(db, upstream.lots, lotIds, question),
    readTag(db, question.code),
    question.row === undefined ? [] : readPlans(db, [question.row.rowId], seasonOf(at, zone)),
  ])
  const baths = await readBaths(db, [...spans.values()].flat())
  const around = {
    places: new Map(places.map((place) => [place.placeId, place.insidePlaceId])),
    tanks: new Map([...baths].map(([id, bath]) => [id, bath.place_id])),
  }
  const [holds, checks, dryingAir] = await Promise.all([
    readLotHolds(db, upstream, spans, around),
    readLotChecks(db, upstream),
    readDryingAir(db, at),
  ])
  const facts = new Map<string, LotFacts>()
  for (const lotId of lotIds) {
    const lot = upstream.lots.get(lotId)
    if (lot === undefined || lot.material === null || lot.variety_id === null) {
      facts.set(lotId, { known: false, code: question.code ?? null, tag, snapshotAt: null })
      continue
    }
    const wood = upstream.sameWood.get(lotId) ?? []
    const made = wood.map((part) => madeOf(upstream.lots.get(part.lotId)))
    const asked = { varietyId: lot.variety_id, scheme: lot.scheme }
    facts.set(lotId, {
      known: true,
      tag,
      snapshotAt: null,
      lotId,
      material: lot.material as Material,
      varietyId: lot.variety_id,
      clone: lot.clone,
      scheme: lot.scheme,
      className: lot.class,
      ...originsOf(made, (id) => sources.get(id)),
      holds: holds.get(lotId) ?? [],
      left: left.get(lotId) ?? { sticks: 0, buds: 0 },
      ...lainIn(spans.get(lotId) ?? [], places, baths),
      checks: checks.get(lotId) ?? { buds: null, cambium: null, moisture: null },
      dryingAir,
      plan: planForLot(plans.map(stretchOf), asked, question.row?.position ?? null),
    })
  }
  return withThermal(db, facts, places, (id) => around.tanks.get(id) ?? null, at)
}

const madeOf = (lot: LotRow | undefined): LotOrigin | null =>
  lot === undefined
    ? null
    : { madeBy: lot.made_by, at: lot.occurred_at.getTime(), sourceId: lot.source_id }

/** A zone that this machine does not know must not keep anybody from a judgement. */
async function readZone(db: Database): Promise<string> {
  const zone = await nurseryTimeZone(db)
  return isTimeZone(zone) ? zone : 'UTC'
}

const seasonOf = (at: Date, zone: string) => Number(localDay(at.getTime(), zone).slice(0, 4))

/** A bath's tank and its end. */
export type Bath = { bath_id: string; place_id: string; emptied_at: Date | null }

/** The baths that spans are in, known or not. */
export async function readBaths(db: Database, spans: WoodSpan[]): Promise<Map<string, Bath>> {
  const ids = [...new Set(spans.flatMap((span) => (span.kind === 'bath' ? [span.id] : [])))]
  if (ids.length === 0) return new Map()
  const rows = await sql<Bath>`
    select id as bath_id, coalesce((select place_id from bath b where b.bath_id = id
        order by b.filled_at, b.entry_id limit 1), ${NIL_ID}) as place_id,
      (select min(emptied_at) from bath_end e where e.bath_id = id) as emptied_at
    from unnest(${ids}::uuid[]) as id`.execute(db)
  return new Map(rows.rows.map((row) => [row.bath_id, row]))
}

/** Spans in places as stays, spans in baths as soaks. */
export function lainIn(
  spans: WoodSpan[],
  places: PlaceInTree[],
  baths: Map<string, Bath>,
): Pick<KnownLotFacts, 'stays' | 'soaks'> {
  const stays = spans.flatMap(({ kind, id, beganAt, endedAt }) =>
    kind === 'place' ? [{ placeId: id, cooled: isCooled(places, id), beganAt, endedAt }] : [],
  )
  const soaks = spans.flatMap(({ kind, id, beganAt, endedAt }) => {
    if (kind !== 'bath') return []
    const emptiedAt = baths.get(id)?.emptied_at?.getTime() ?? Number.POSITIVE_INFINITY
    const end = Math.min(endedAt ?? Number.POSITIVE_INFINITY, Math.max(emptiedAt, beganAt))
    return [{ bathId: id, beganAt, endedAt: Number.isFinite(end) ? end : null }]
  })
  return { stays, soaks }
}

type LeftRow = { lot_id: string; sticks: number; buds: number }

async function readLeft(
  db: Database,
  lots: Map<string, LotRow>,
  lotIds: readonly string[],
  asked: WoodAsked,
): Promise<Map<string, StockLeft>> {
  const bundle = asked.bundleId === undefined ? null : (asked.bundleId ?? NIL_ID)
  const account =
    asked.account === undefined
      ? sql`account_kind in ('place', 'bath', 'holder', 'unknown')`
      : sql`account_kind = ${asked.account.kind} and account_id = ${asked.account.id}`
  const rows = await sql<LeftRow>`
    select lot_id,
      coalesce(sum(count) filter (where unit = 'stick'), 0)::bigint as sticks,
      coalesce(sum(count) filter (where unit = 'bud'), 0)::bigint as buds
    from balance
    where lot_id = any(${lotIds}::uuid[]) and (${bundle}::uuid is null or bundle_id = ${bundle})
      and ${account}
    group by lot_id`.execute(db)
  return new Map(
    rows.rows.map((row) => [
      row.lot_id,
      openedStock(row, lots.get(row.lot_id)?.buds_per_stick ?? 1),
    ]),
  )
}

async function readTag(db: Database, code: string | undefined): Promise<TagFacts | null> {
  if (code === undefined) return null
  const rows = await sql<{ ended_how: string | null }>`
    select (select e.how from tag_end e where e.code = ${code}
      order by e.occurred_at, e.entry_id limit 1) as ended_how`.execute(db)
  const how = rows.rows[0]?.ended_how ?? null
  return { code, state: how === null ? 'bound' : how === 'spoiled' ? 'spoiled' : 'ended' }
}

const stretchOf = (plan: PlanNow): PlannedStretch => ({
  rowId: plan.row_id,
  fromPosition: plan.from_position,
  toPosition: plan.to_position,
  varietyId: plan.variety_id,
  clone: plan.clone,
  className: plan.class,
})
