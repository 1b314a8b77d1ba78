// The journal's tree in the database: keeps hashes of subtrees, and reads proofs out of few rows.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { consistencySpans, inclusionSpans, joinNodes, nodeHash, nodesOf } from './merkle.ts'
import type { Node, Span } from './merkle.ts'
import { journalSize } from './read-journal.ts'

/** Each so many levels the hashes are kept; a node between is joined of at most eight of them. */
const KEPT_EVERY = 4
const CHILDREN = 2 ** KEPT_EVERY
/** Kept hashes that are worked out in one transaction. */
const STEP = 512
const treeLock = 7263005

type Trx = Transaction<Tables>

/**
 * Brings the kept hashes up to the entries there are, outside of any append: entries never wait
 * for it. Several processes may do so at once; each hash is written by one of them. Returns how
 * many entries the kept hashes cover.
 */
export async function growTree(db: Database): Promise<number> {
  const size = await journalSize(db)
  for (let level = KEPT_EVERY; CHILDREN ** (level / KEPT_EVERY) <= size; level += KEPT_EVERY) {
    const due = Math.floor(size / 2 ** level)
    for (let known = await keptAt(db, level); known < due;) {
      known = await db.transaction().execute((trx) => growLevel(trx, level, due))
    }
  }
  return Math.floor(size / CHILDREN) * CHILDREN
}

/** Empties the kept hashes and works them out of the entries anew; needs the owner. */
export async function regrowTree(owner: Database): Promise<number> {
  await sql`truncate tree_node`.execute(owner)
  return growTree(owner)
}

async function keptAt(db: Database, level: number): Promise<number> {
  const row = await db
    .selectFrom('tree_node')
    .select(({ fn }) => fn.max('node_index').as('index'))
    .where('level', '=', level)
    .executeTakeFirst()
  return (row?.index ?? -1) + 1
}

/** Writes the next hashes of a level; returns how many there are then. */
async function growLevel(trx: Trx, level: number, due: number): Promise<number> {
  await sql`select pg_advisory_xact_lock(${treeLock}::bigint)`.execute(trx)
  const from = await keptAt(trx, level)
  const to = Math.min(due, from + STEP)
  if (from >= to) return from
  const children = await readRun(trx, level - KEPT_EVERY, from * CHILDREN, to * CHILDREN)
  const hashes = Array.from({ length: to - from }, (_, nr) =>
    joinPerfect(children.slice(nr * CHILDREN, (nr + 1) * CHILDREN)),
  )
  await sql`insert into tree_node (level, node_index, hash)
    select ${level}, ${from} + nr - 1, hash
    from unnest(${hashes}::bytea[]) with ordinality as t(hash, nr)`.execute(trx)
  return to
}

/** Hashes of one level in a row, none missing. */
async function readRun(trx: Trx, level: number, from: number, to: number): Promise<Buffer[]> {
  const { rows } =
    level === 0
      ? await sql<{ hash: Buffer }>`select leaf_hash as hash from entry
          where journal_index >= ${from} and journal_index < ${to}
          order by journal_index`.execute(trx)
      : await sql<{ hash: Buffer }>`select hash from tree_node
          where level = ${level} and node_index >= ${from} and node_index < ${to}
          order by node_index`.execute(trx)
  if (rows.length !== to - from) throw new Error(`the tree lacks hashes of its level ${level}`)
  return rows.map(({ hash }) => hash)
}

/** The hash over 2, 4, 8 … hashes that stand side by side. */
function joinPerfect(hashes: readonly Buffer[]): Buffer {
  const [first, second] = hashes
  if (first === undefined) throw new Error('there is nothing to join')
  if (second === undefined) return first
  const middle = hashes.length / 2
  return nodeHash(joinPerfect(hashes.slice(0, middle)), joinPerfect(hashes.slice(middle)))
}

/** The leaf hash of the entry at `index`; throws when there is none. */
export async function leafAt(db: Database, index: number): Promise<Buffer> {
  const [leaf] = await hashesOf(db, [{ from: index, to: index + 1 }])
  if (leaf === undefined) throw new Error('no leaf was read')
  return leaf
}

/** The root of the first `size` entries. */
export async function rootAt(db: Database, size: number): Promise<Buffer> {
  const [root] = await hashesOf(db, [{ from: 0, to: size }])
  if (root === undefined) throw new Error('no root was read')
  return root
}

/** The proof that the tree of `size` extends that of its first `before` entries. */
export async function consistencyProof(
  db: Database,
  before: number,
  size: number,
): Promise<Buffer[]> {
  return hashesOf(db, consistencySpans(before, size))
}

/** The proofs of entries in the tree of `size`, in the order of `indexes`. */
export async function inclusionProofs(
  db: Database,
  indexes: readonly number[],
  size: number,
): Promise<Buffer[][]> {
  const spans = indexes.map((index) => inclusionSpans(index, size))
  const distinct = new Map(spans.flat().map((span) => [`${span.from} ${span.to}`, span]))
  const hashes = await hashesOf(db, [...distinct.values()])
  const byName = new Map([...distinct.keys()].map((name, nr) => [name, hashes[nr]]))
  return spans.map((path) =>
    path.map(({ from, to }) => byName.get(`${from} ${to}`) ?? missing({ level: 0, index: from })),
  )
}

/** The hash of each subtree. What is not kept yet is grown first. */
async function hashesOf(db: Database, spans: readonly Span[]): Promise<Buffer[]> {
  const covered = await growTree(db)
  const nodes = spans.map(nodesOf)
  const kept = await readKept(db, nodes.flat().map(keptBelow).flat(), covered)
  return nodes.map((parts) =>
    joinNodes(
      parts.map((part) =>
        joinPerfect(keptBelow(part).map((node) => kept.get(nameOf(node)) ?? missing(node))),
      ),
    ),
  )
}

/** The nodes at a kept level, or the leaves, that a node is joined of. */
function keptBelow({ level, index }: Node): Node[] {
  const rest = level % KEPT_EVERY
  const count = 2 ** rest
  return Array.from({ length: count }, (_, nr) => ({
    level: level - rest,
    index: index * count + nr,
  }))
}

async function readKept(
  db: Database,
  nodes: readonly Node[],
  covered: number,
): Promise<Map<string, Buffer>> {
  const byLevel = new Map<number, Set<number>>()
  for (const { level, index } of nodes) {
    if (level > 0 && (index + 1) * 2 ** level > covered) missing({ level, index })
    byLevel.set(level, (byLevel.get(level) ?? new Set()).add(index))
  }
  const kept = new Map<string, Buffer>()
  for (const [level, indexes] of byLevel) {
    const wanted = [...indexes]
    const { rows } =
      level === 0
        ? await sql<{ index: number; hash: Buffer }>`
            select journal_index as index, leaf_hash as hash from entry
            where journal_index = any(${wanted}::bigint[])`.execute(db)
        : await sql<{ index: number; hash: Buffer }>`
            select node_index as index, hash from tree_node
            where level = ${level} and node_index = any(${wanted}::bigint[])`.execute(db)
    for (const { index, hash } of rows) kept.set(nameOf({ level, index }), hash)
  }
  return kept
}

const nameOf = ({ level, index }: Node) => `${level} ${index}`

function missing({ level, index }: Node): never {
  throw new Error(`the journal's tree has no hash ${index} at level ${level}`)
}
