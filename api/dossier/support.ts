// Finds the entries that answers and names of a dossier rest on, by what each of them tells of.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { DossierScope } from './scope.ts'

/** What an entry tells of: the thing's registration, making, hold, rule, policy and so on. */
export type Support =
  | 'source'
  | 'standing'
  | 'test'
  | 'inspection'
  | 'topworked'
  | 'stands in'
  | 'grown from'
  | 'lot'
  | 'hold'
  | 'hold on'
  | 'scheme rule'
  | 'policy'
  | 'nursery'
  | 'variety'
  | 'place'
  | 'party'
  | 'block'
  | 'row'
  | 'logger'

/** Entry ids by what they tell of and of which thing. */
export class Supports {
  private readonly byThing = new Map<string, string[]>()

  constructor(rows: readonly { what: string; key: string; entry_id: string }[]) {
    for (const { what, key, entry_id } of rows) {
      const at = `${what} ${key}`
      this.byThing.set(at, [...(this.byThing.get(at) ?? []), entry_id])
    }
  }

  /** The entries that tell `what` of the thing with this id (or of this policy's key). */
  of(what: Support, key: string): readonly string[] {
    return this.byThing.get(`${what} ${key}`) ?? []
  }

  /** Every entry, each once. */
  get all(): string[] {
    return [...new Set([...this.byThing.values()].flat())]
  }
}

/** What is asked besides the scope itself. */
export type SupportAsked = {
  /** Holds that reach a lot from whatever they stand on. */
  holdIds: readonly string[]
  /** Loggers that told how warm the wood lay. */
  loggerIds: readonly string[]
  /** The first day (ISO) after those whose policies were used. */
  untilDay: string
}

type Row = { what: Support; key: string; entry_id: string }

/** Reads them in one query. Of names each last registration counts, so all of them are there. */
export async function readSupports(
  db: Database,
  scope: DossierScope,
  asked: SupportAsked,
): Promise<Supports> {
  const lots = scope.lots.map((lot) => lot.lot_id)
  const sources = scope.sources.map((source) => source.source_id)
  const rows = [...scope.rows.keys()]
  const { rows: found } = await sql<Row>`
    with own as (
      select unnest(${sources}::uuid[]) as id
      union select parent_source_id from source where source_id = any(${sources}::uuid[])
    )
    select 'source' as what, source_id::text as key, entry_id from source
      where source_id in (select id from own)
    union all select 'standing', source_id::text, entry_id from source_standing
      where source_id in (select id from own)
    union all select 'test', source_id::text, entry_id from source_test
      where source_id in (select id from own)
    union all select 'inspection', source_id::text, entry_id from source_inspection
      where source_id in (select id from own)
    union all (
      select distinct on (s.id) 'topworked', s.id::text, g.entry_id
      from own s join source_standing_row v on v.source_id = s.id or v.parent_source_id = s.id
        join graft g on g.row_id = v.row_id and g.position = v.position
      order by s.id, g.grafted_at desc, g.entry_id)
    union all ${aroundSources()}
    union all select 'lot', lot_id::text, entry_id from lot where lot_id = any(${lots}::uuid[])
    union all select 'hold', hold_id::text, entry_id from hold
      where hold_id = any(${[...asked.holdIds]}::uuid[])
        or on_id = any(${[...lots, ...sources]}::uuid[])
    union all select 'hold on', on_id::text, entry_id from hold
      where on_id = any(${[...lots, ...sources]}::uuid[])
    union all select 'hold', l.hold_id::text, l.entry_id from hold_lift l
      join hold h on h.hold_id = l.hold_id where h.on_id = any(${[...lots, ...sources]}::uuid[])
    union all select 'scheme rule', entry_id::text, entry_id from scheme_rule
    union all select 'policy', key, entry_id from policy_setting
      where effective_from < ${asked.untilDay}::date
    union all select 'row', row_id::text, entry_id from block_row
      where row_id = any(${rows}::uuid[])
    union all select 'block', b.block_id::text, b.entry_id from block b
      where b.block_id = ${scope.blockId}
        or b.block_id in (select block_id from block_row where row_id = any(${rows}::uuid[]))
    union all select 'logger', logger_id::text, entry_id from logger
      where logger_id = any(${[...asked.loggerIds]}::uuid[])
    union all ${settingOf(scope, lots, sources)}`.execute(db)
  return new Supports(found)
}

/** Of each source of `own` the block that it stands in with its tests, and its lot of origin. */
function aroundSources() {
  return sql`
    select 'stands in', s.source_id::text, p.entry_id
      from source_standing_row s join source p on p.source_id = s.parent_source_id
      where s.source_id in (select id from own)
    union all select 'stands in', s.source_id::text, t.entry_id
      from source_standing_row s join source_test t on t.source_id = s.parent_source_id
      where s.source_id in (select id from own)
    union all select 'grown from', s.source_id::text, l.entry_id
      from source_standing_row s join lot l on l.lot_id = s.origin_lot_id
      where s.source_id in (select id from own)`
}

/** The nursery, its varieties and places, and the firms that its lots and inspections name. */
function settingOf({ recall }: DossierScope, lots: string[], sources: string[]) {
  return sql`
    select 'nursery', 'nursery', entry_id from nursery
    union all select 'variety', variety_id::text, entry_id from variety
    union all select 'place', place_id::text, entry_id from place
    union all select 'party', p.party_id::text, p.entry_id from party p
      where p.party_id in (
        select supplier_id from lot where lot_id = any(${lots}::uuid[])
        union select party_id from source_inspection where source_id = any(${sources}::uuid[])
        union select account_id from movement where lot_id = any(${lots}::uuid[])
          and account_kind in ('holder', 'supplier', 'customer'))
        or (${recall !== null} and p.role = 'authority')`
}
