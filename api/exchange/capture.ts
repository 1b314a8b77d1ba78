// Takes the lots that an EPCIS document brings into the journal, all of them or none.
import { sql } from 'kysely'
import { v5 } from 'uuid'
import { EPCIS_LOT_LIMIT, EpcisDelivery } from '#wire/api-epcis.ts'
import type { EpcisTakenShape } from '#wire/api-epcis.ts'
import type { EntryBody } from '#wire/entry.ts'
import { entryKinds } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import { recordChecked } from '../journal/checked-desk.ts'
import type { Desk } from '../journal/desk.ts'
import { referenceProblems } from '../lots/references.ts'
import { listParties, listVarieties } from '../nursery/read.ts'
import type { VarietyLine } from '../nursery/read.ts'
import { varietyFinder } from '../nursery/variety-match.ts'
import { refuse } from '../platform/errors.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { readAddress, readLotAddress } from './addresses.ts'
import { fourRules } from './four-rules.ts'
import { readDelivery } from './read-delivery.ts'
import type { DeliveredLot, Delivery } from './read-delivery.ts'

/** From whom the wood came and where it lies now: what a sender cannot know. */
export type Arrival = { supplierId: string; placeId: string }

/** The name space (RFC 9562 §5.5, of addresses) for things that have no id of ours. */
const addressSpace = v5.URL

type Body = EntryBody<'lot.received'>

/**
 * Reads `value` as a document and records every lot that it brings as received, in one batch.
 * Refuses, with nothing recorded, what cannot be read or taken in: with each place, what is wrong
 * there, and how to mend it. A document that comes again records nothing anew.
 */
export async function captureDelivery(
  db: Database,
  desk: Desk,
  value: unknown,
  arrival: Arrival,
): Promise<EpcisTakenShape> {
  const delivery = readValue(value)
  refuseAny(delivery.problems)
  await checkArrival(db, arrival)
  const bodies = await bodiesOf(db, delivery, arrival)
  const known = await knownLots(
    db,
    bodies.map(({ body }) => body.lotId),
  )
  const fresh = bodies.filter(({ body }) => !known.has(body.lotId))
  refuseAny(bodies.flatMap(({ body, lot }) => differs(known.get(body.lotId), body, lot)))
  const references = fresh.map(({ body, lot }) => {
    return { field: `${lot.field}.ilmd`, reference: body.reference }
  })
  const drafts = fresh.map(({ body }) => ({ kind: 'lot.received' as const, body }))
  const ids =
    drafts.length === 0
      ? []
      : await recordChecked(db, desk, drafts, async (trx) => {
          const meanwhile = await knownLots(
            trx,
            fresh.map(({ body }) => body.lotId),
          )
          const again = fresh.filter(({ body }) => meanwhile.has(body.lotId))
          return [
            ...again.map(({ lot }) => ({ field: lot.field, message: cameMeanwhile })),
            ...(await referenceProblems(trx, references)),
          ]
        })
  const entryOf = new Map(fresh.map(({ body }, nr) => [body.lotId, ids[nr] ?? null]))
  return {
    recorded: ids.length,
    alreadyRecorded: bodies.length - fresh.length,
    lots: bodies.map(({ body: { lotId, reference, unit, count } }) => {
      return { lotId, reference, unit, count, entryId: entryOf.get(lotId) ?? null }
    }),
    notTaken: delivery.notTaken,
    leftOut: delivery.leftOut,
  }
}

const cameMeanwhile = 'the lot came in by another document just now: send this one again'

function readValue(value: unknown): Delivery {
  const read = EpcisDelivery.safeParse(value)
  if (!read.success) {
    return refuseAll(
      read.error.issues.slice(0, 100).map((issue) => ({
        field: issue.path.join('.') || 'document',
        message: issue.message,
      })),
    )
  }
  refuseAny(fourRules(value))
  const delivery = readDelivery(read.data)
  if (delivery.lots.length > EPCIS_LOT_LIMIT) {
    const message = `${delivery.lots.length} lots are too many at a time: send ${EPCIS_LOT_LIMIT}`
    refuseAll([{ field: 'epcisBody.eventList', message }])
  }
  return delivery
}

function refuseAny(problems: FieldProblem[]): void {
  if (problems.length > 0) refuseAll(problems)
}

function refuseAll(problems: FieldProblem[]): never {
  const first = problems[0]
  const others = problems.length > 1 ? `, and ${problems.length - 1} more` : ''
  const detail = `nothing was recorded. ${first?.field ?? ''}: ${first?.message ?? ''}${others}`
  return refuse('bad_delivery', detail, { fields: problems.slice(0, 100) })
}

async function checkArrival(db: Database, { supplierId, placeId }: Arrival): Promise<void> {
  const suppliers = await listParties(db, 'supplier')
  const problems: FieldProblem[] = []
  if (!suppliers.some(({ party_id }) => party_id === supplierId)) {
    const message = 'no supplier has this id: register the firm under Nursery, at Firms and crews'
    problems.push({ field: 'supplierId', message })
  }
  const place = await db
    .selectFrom('place_now')
    .select('place_id')
    .where('place_id', '=', placeId)
    .executeTakeFirst()
  if (place === undefined) {
    problems.push({ field: 'placeId', message: 'no place has this id: register it under Store' })
  }
  refuseAny(problems)
}

type Wanted = { lot: DeliveredLot; body: Body }

/** The entry of each lot, checked as any entry is, with every problem at its place. */
async function bodiesOf(db: Database, delivery: Delivery, arrival: Arrival): Promise<Wanted[]> {
  const { lots, names } = delivery
  const varieties = await listVarieties(db)
  const find = varietyFinder(varieties.map((one) => ({ ...one, id: one.variety_id })))
  const sources = await knownSources(db, lots)
  const problems: FieldProblem[] = []
  const wanted = lots.flatMap((lot): Wanted[] => {
    const variety = varietyOf(lot, names, varieties, find)
    if (typeof variety !== 'string') {
      problems.push(variety)
      return []
    }
    const read = entryKinds['lot.received'].body.safeParse(bodyOf(lot, variety, sources, arrival))
    if (read.success && tiedCount(lot) > lot.count) {
      problems.push({ field: `${lot.field} (its bundles)`, message: moreThanCame })
    }
    if (read.success) return [{ lot, body: read.data }]
    problems.push(
      ...read.error.issues.map((issue) => ({
        field: fieldOf(lot, issue.path),
        message: issue.message,
      })),
    )
    return []
  })
  refuseAny(problems)
  return wanted
}

const moreThanCame = 'the bundles hold more than the lot: correct the amounts, or leave them out'

const tiedCount = (lot: DeliveredLot) => lot.bundles.reduce((sum, { count }) => sum + count, 0)

function bodyOf(
  lot: DeliveredLot,
  varietyId: string,
  sources: ReadonlySet<string>,
  { supplierId, placeId }: Arrival,
): unknown {
  const { words } = lot
  const read = readLotAddress(lot.epcClass)
  const unit = read?.unit ?? words.unit ?? 'stick'
  const source = typeof words.source === 'string' ? readAddress(words.source, 'source') : null
  return {
    lotId: readLotAddress(lot.address)?.lotId ?? v5(lot.address, addressSpace),
    reference: words.reference,
    material: words.material,
    varietyId,
    clone: words.clone ?? null,
    scheme: words.scheme ?? null,
    class: words.class ?? null,
    harvestYear: words.harvestYear,
    budsPerStick: words.budsPerStick,
    supplierId,
    supplierReference: words.reference,
    passportCode: words.passportCode ?? null,
    sourceId: source !== null && sources.has(source) ? source : null,
    unit,
    count: lot.count,
    bundles: lot.bundles.map(({ address, count }) => ({
      bundleId: readAddress(address, 'bundle') ?? v5(address, addressSpace),
      unit,
      count,
    })),
    to: { kind: 'place', id: placeId },
    note: '',
  }
}

/** Where a field of the entry stands in the document. */
function fieldOf(lot: DeliveredLot, path: PropertyKey[]): string {
  const name = String(path[0] ?? '')
  if (name === 'count') return `${lot.field} (its quantity)`
  if (name === 'bundles') return `${lot.field} (its bundles)`
  return `${lot.field}.ilmd.${name}`
}

/** The variety by its id where it is ours, else by its name; or what is wrong with it. */
function varietyOf(
  lot: DeliveredLot,
  names: Delivery['names'],
  varieties: readonly VarietyLine[],
  find: ReturnType<typeof varietyFinder>,
): string | FieldProblem {
  const field = `${lot.field}.ilmd.variety`
  const given = typeof lot.words.variety === 'string' ? lot.words.variety : ''
  const id = readAddress(given, 'variety')
  const ours = varieties.find((variety) => variety.variety_id === id)
  if (ours !== undefined) return ours.variety_id
  const named = lot.words.varietyName
  const name = names.get(given)?.name ?? (typeof named === 'string' ? named : null)
  if (name === null) {
    const message =
      'the variety has no name here: name it in the document’s names, or as varietyName'
    return { field, message }
  }
  const read = find(name)
  const match = read.ok ? varieties.find((variety) => variety.name === read.value) : undefined
  if (match !== undefined) return match.variety_id
  const message = `the variety ${name.slice(0, 80)} is not registered: register it under Nursery`
  return { field, message }
}

async function knownSources(db: Database, lots: DeliveredLot[]): Promise<Set<string>> {
  const ids = lots.flatMap(({ words }) => {
    const id = typeof words.source === 'string' ? readAddress(words.source, 'source') : null
    return id === null ? [] : [id]
  })
  const rows = await db
    .selectFrom('source_now')
    .select('source_id')
    .where('source_id', '=', sql<string>`any(${ids}::uuid[])`)
    .execute()
  return new Set(rows.map(({ source_id }) => source_id))
}

/** Lots that are on record already, by id: how they were made, and what of them came in. */
type KnownLot = { lot_id: string; made_by: string; reference: string; came: number | null }

async function knownLots(db: Database, ids: string[]): Promise<Map<string, KnownLot>> {
  const { rows } = await sql<KnownLot>`
    select l.lot_id, l.made_by, l.reference,
      (select (-sum(m.count))::int from movement m
        where m.entry_id = l.entry_id and m.account_kind = 'supplier') as came
    from lot_first l where l.lot_id = any(${ids}::uuid[])`.execute(db)
  return new Map(rows.map((row) => [row.lot_id, row]))
}

function differs(known: KnownLot | undefined, body: Body, lot: DeliveredLot): FieldProblem[] {
  if (known === undefined) return []
  if (known.made_by !== 'received') {
    const message = `the lot is one of this nursery’s own, ${known.reference}: leave it out`
    return [{ field: lot.field, message }]
  }
  if (known.came === body.count && known.reference === body.reference) return []
  const message =
    `the lot came in before as ${known.reference} with ${known.came ?? 0}, and here it is ` +
    `${body.reference} with ${body.count}: withdraw the earlier entry, or correct the document`
  return [{ field: lot.field, message }]
}
