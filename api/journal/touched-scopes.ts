// Follows what changed to everything whose findings it may change.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Tables } from '../../db/tables.ts'
import type { ScopeKind } from './scopes.ts'

type Trx = Transaction<Tables>

/** Ids to look at again, by the kind of thing they are. */
export class ScopeSet {
  private readonly ids = new Map<ScopeKind, Set<string>>()

  add(kind: ScopeKind, ids: Iterable<string>): void {
    const known = this.ids.get(kind) ?? new Set<string>()
    for (const id of ids) known.add(id)
    if (known.size > 0) this.ids.set(kind, known)
  }

  of(kind: ScopeKind): string[] {
    return [...(this.ids.get(kind) ?? [])]
  }

  kinds(): ScopeKind[] {
    return [...this.ids.keys()]
  }
}

/**
 * Adds to `scopes` whatever depends on them by a link of the records. A fact that arrives, or is
 * withdrawn, touches both ends of the links it states; from there each link is followed to the end
 * whose rules read it, so that the last fact to arrive brings every finding up to date, in
 * whatever order they came (invariant 2).
 */
export async function addDependents(trx: Trx, scopes: ScopeSet): Promise<void> {
  await addHeld(trx, scopes)
  await addOfRows(trx, scopes)
  await addParentSources(trx, scopes)
  await addTags(trx, scopes)
  await addDownstream(trx, scopes)
}

/** A lifting names only its hold: what is held is looked up. */
async function addHeld(trx: Trx, scopes: ScopeSet): Promise<void> {
  const holds = scopes.of('hold')
  if (holds.length === 0) return
  const rows = await sql<{ on_kind: string; on_id: string }>`
    select distinct on_kind, on_id from hold where hold_id = any(${holds}::uuid[])`.execute(trx)
  for (const { on_kind, on_id } of rows.rows) {
    if (on_kind === 'bath') scopes.add('bath', [on_id])
    else if (on_kind !== 'place') scopes.add('lineage', [on_id])
  }
}

/** The blocks that a row was ever in, and the sources that are vines of it. */
async function addOfRows(trx: Trx, scopes: ScopeSet): Promise<void> {
  const rows = scopes.of('row')
  if (rows.length === 0) return
  const blocks = await sql<{ id: string }>`
    select distinct block_id as id from block_row where row_id = any(${rows}::uuid[])`.execute(trx)
  scopes.add('block', idsOf(blocks.rows))
  const sources = await sql<{ id: string }>`
    select distinct source_id as id from source where row_id = any(${rows}::uuid[])`.execute(trx)
  scopes.add('lineage', idsOf(sources.rows))
}

/** Rules about a block look at the source vines in it. */
async function addParentSources(trx: Trx, scopes: ScopeSet): Promise<void> {
  const sources = scopes.of('source')
  if (sources.length === 0) return
  const parents = await sql<{ id: string }>`
    select distinct parent_source_id as id from source
    where source_id = any(${sources}::uuid[]) and parent_source_id is not null`.execute(trx)
  scopes.add('source', idsOf(parents.rows))
}

const taggedKinds = ['lot', 'bundle', 'row', 'source', 'place', 'bath'] as const

/** A tag may be bound to a thing before anybody tells of the thing. */
async function addTags(trx: Trx, scopes: ScopeSet): Promise<void> {
  const things = taggedKinds.flatMap((kind) => scopes.of(kind))
  if (things.length === 0) return
  const codes = await sql<{ id: string }>`
    select distinct code as id from tag_binding where thing_id = any(${things}::uuid[])
  `.execute(trx)
  scopes.add('code', idsOf(codes.rows))
}

/**
 * Lots downstream of a lot or source that changed, for holds, circles and likeness to parents;
 * the rows that bear a lot that changed, for their plans; the baths it was in, for their books.
 */
async function addDownstream(trx: Trx, scopes: ScopeSet): Promise<void> {
  const changed = scopes.of('lineage')
  if (changed.length === 0) return
  const reached = await sql<{ id: string }>`
    with recursive down(id) as (
      select unnest(${changed}::uuid[])
      union
      select e.to_id from down join lineage_edge e on e.from_id = down.id
    )
    select id from down`.execute(trx)
  scopes.add('lot', idsOf(reached.rows))
  const rows = await sql<{ id: string }>`
    select distinct row_id as id from graft where lot_id = any(${changed}::uuid[])`.execute(trx)
  scopes.add('row', idsOf(rows.rows))
  const baths = await sql<{ id: string }>`
    select distinct account_id as id from balance
    where lot_id = any(${changed}::uuid[]) and account_kind = 'bath'`.execute(trx)
  scopes.add('bath', idsOf(baths.rows))
}

const idsOf = (rows: { id: string }[]) => rows.map(({ id }) => id)
