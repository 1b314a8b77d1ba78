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
import { proveStamps } from './timestamps.ts'
import { toldEntries } from './told-entries.ts'

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

/** The entries of a dossier, and how many more tell of its subject than it carries. */
export type CarriedEntries = { entries: DossierEntry[]; countedOnly: number }

/**
 * Entries below index `size` that tell of the scope: what was done at its vines; what tells of its
 * lots, bundles, sources, baths, tags and holds; the rows; what was withdrawn of these; the names;
 * `supports` (entry ids); and the keys of the devices that signed them. Of a thing too large it
 * refuses with `dossier_too_large`; of a recall it carries the weightiest and counts the rest.
 */
export async function readDossierEntries(
  db: Database,
  scope: DossierScope,
  size: number,
  supports: readonly string[] = [],
  limit = DOSSIER_ENTRY_LIMIT,
): Promise<CarriedEntries> {
  const told = await toldEntries(db, scope, supports, { size, limit })
  const countedOnly = told.all - told.indexes.length
  if (countedOnly > 0 && scope.recall === null) {
    refuse(
      'dossier_too_large',
      `this would be more than ${limit} entries: make a dossier row by row instead`,
    )
  }
  return { entries: await readExact(db, told.indexes), countedOnly }
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
  const timestamps = await proveStamps(db, entries, checkpoint)
  return {
    keys: keys
      .filter(({ number }) => number <= checkpoint.keyNumber)
      .map((key) => ({ key: keyText(key), succession: key.succession })),
    checkpoint: checkpoint.note,
    hashes: [...places.keys()],
    entries: proven,
    ...(timestamps.length === 0 ? {} : { timestamps }),
  }
}
