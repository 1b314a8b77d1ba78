// Finds the entries that a dossier rests on, and proves each of them against a checkpoint.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { knownKeys } from '../journal/checkpoint-keys.ts'
import type { SignedCheckpoint } from '../journal/checkpoints.ts'
import { keyText } from '../journal/note.ts'
import { inclusionProofs } from '../journal/tree.ts'
import { refuse } from '../platform/errors.ts'
import { DOSSIER_ENTRY_LIMIT } from './dossier-shape.ts'
import type { DossierProof } from './dossier-shape.ts'
import type { DossierScope } from './scope.ts'

/** An entry of a dossier. */
export type DossierEntry = {
  index: number
  id: string
  kind: string
  canonical: Buffer
  recordedAt: string
  occurredAt: Date
  personId: string
  deviceId: string
}

/**
 * Entries below index `size` that tell of the scope: what was done at its vines; what tells of its
 * lots, bundles, sources, baths, tags and holds; the rows; what was withdrawn of these; the names;
 * and the keys of the devices that signed them. Refuses with `dossier_too_large`.
 */
export async function readDossierEntries(
  db: Database,
  scope: DossierScope,
  size: number,
): Promise<DossierEntry[]> {
  const lotIds = scope.lots.map((lot) => lot.lot_id)
  const things = [
    ...lotIds,
    ...scope.sources.map((source) => source.source_id),
    ...(scope.blockId === null ? [] : [scope.blockId]),
  ]
  const grafts = scope.grafts.map((graft) => graft.graft_id)
  const rows = scope.subject.kind === 'lot' ? [] : [...scope.rows.keys()]
  const position = scope.subject.position
  const found = await sql<{ journal_index: number }>`
    with thing as (
      select unnest(${things}::uuid[]) as id
      union select bundle_id from bundle where lot_id = any(${lotIds}::uuid[])
      union select bath_id from soak where lot_id = any(${lotIds}::uuid[])
      union select hold_id from hold where on_id = any(${things}::uuid[])
    ),
    told as (
      select s.entry_id as id from thing join entry_subject s on s.subject_id = thing.id
      union select entry_id from movement
        where lot_id = any(${lotIds}::uuid[]) and account_kind <> 'vine'
          and not exists (select 1 from graft g where g.entry_id = movement.entry_id)
      union select unnest(${grafts}::uuid[])
      union select entry_id from graft_removal where graft_id = any(${grafts}::uuid[])
      union select entry_id from take_check where graft_id = any(${grafts}::uuid[])
      union select entry_id from take_check where row_id = any(${rows}::uuid[])
        and (${position} = 0 or position = ${position})
      union select entry_id from vine_skip where row_id = any(${rows}::uuid[])
        and (${position} = 0 or position = ${position})
      union select entry_id from block_row where row_id = any(${[...scope.rows.keys()]}::uuid[])
      union select entry_id from trunk_layer where row_id = any(${rows}::uuid[])
      union select entry_id from bath where bath_id in (select id from thing)
      union select entry_id from bath_end where bath_id in (select id from thing)
      union select entry_id from tag_binding where thing_id in (select id from thing)
    ),
    withdrawn as (
      select w.entry_id as id from withdrawal w where w.withdrawn_id in (select id from told)
    ),
    used as (
      select id from told union select id from withdrawn
    ),
    keyed as (
      select k.entry_id as id from device_key k
      where k.device_id in (select e.device_id from entry e where e.id in (select id from used))
    )
    select e.journal_index from entry e
    where e.id in (select id from used union select id from keyed
        union select entry_id from variety union select entry_id from nursery)
      and e.journal_index < ${size}
    order by e.journal_index limit ${DOSSIER_ENTRY_LIMIT + 1}`.execute(db)
  if (found.rows.length > DOSSIER_ENTRY_LIMIT) {
    refuse(
      'dossier_too_large',
      `this would be more than ${DOSSIER_ENTRY_LIMIT} entries: make a dossier row by row instead`,
    )
  }
  return readExact(
    db,
    found.rows.map((row) => row.journal_index),
  )
}

type ExactRow = {
  journal_index: number
  id: string
  kind: string
  canonical: Buffer
  recorded_at: string
  occurred_at: Date
  person_id: string
  device_id: string
}

async function readExact(db: Database, indexes: number[]): Promise<DossierEntry[]> {
  const { rows } = await sql<ExactRow>`
    select journal_index, id, kind, canonical, occurred_at, person_id, device_id,
      to_char(recorded_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') as recorded_at
    from entry where journal_index = any(${indexes}::bigint[]) order by journal_index`.execute(db)
  return rows.map((row) => ({
    index: row.journal_index,
    id: row.id,
    kind: row.kind,
    canonical: row.canonical,
    recordedAt: row.recorded_at,
    occurredAt: row.occurred_at,
    personId: row.person_id,
    deviceId: row.device_id,
  }))
}

/** The proof of these entries against the checkpoint, each hash told once. */
export async function proveEntries(
  db: Database,
  entries: readonly DossierEntry[],
  checkpoint: SignedCheckpoint,
): Promise<DossierProof> {
  const proofs = await inclusionProofs(
    db,
    entries.map(({ index }) => index),
    checkpoint.size,
  )
  const places = new Map<string, number>()
  const placeOf = (hash: Buffer) => {
    const text = hash.toString('base64')
    const place = places.get(text) ?? places.size
    places.set(text, place)
    return place
  }
  const proven = entries.map(({ index, recordedAt, canonical }, nr) => ({
    index,
    recordedAt,
    entry: canonical.toString('utf8'),
    path: (proofs[nr] ?? []).map(placeOf),
  }))
  const keys = await knownKeys(db)
  return {
    keys: keys
      .filter(({ number }) => number <= checkpoint.keyNumber)
      .map((key) => ({ key: keyText(key), succession: key.succession })),
    checkpoint: checkpoint.note,
    hashes: [...places.keys()],
    entries: proven,
  }
}
