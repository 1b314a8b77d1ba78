// Rebuilds the tree from the entries, and holds it against checkpoints and evidence kept elsewhere.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Tables } from '../../db/tables.ts'
import { leafHash } from './canonical.ts'
import { readCheckpoint } from './checkpoint.ts'
import { followKeys, knownKeys } from './checkpoint-keys.ts'
import { Difference, entryName } from './difference.ts'
import { heldEntryName } from './held.ts'
import type { Evidence, Held, HeldEntry } from './held.ts'
import { GrowingTree, nodeHash } from './merkle.ts'
import { keyText, openNote, signersOf } from './note.ts'
import type { NoteKey } from './note.ts'

type Trx = Transaction<Tables>

/** A signed root that the entries must lead to. */
type Point = { name: string; size: number; root: Buffer }
type Listing = { name: string; entries: AsyncIterator<HeldEntry>; next: HeldEntry | null }

/** How many checkpoints and entries kept elsewhere were found to agree. */
export type TreeCounts = { checkpoints: number; heldCheckpoints: number; heldEntries: number }

const GROUP_LEVEL = 4
const GROUP = 2 ** GROUP_LEVEL
const STEP = 5000

/** Takes every entry's leaf in order; throws a Difference at the first that cannot be. */
export class TreeWatch {
  readonly counts: TreeCounts = { checkpoints: 0, heldCheckpoints: 0, heldEntries: 0 }
  private readonly tree = new GrowingTree()
  private readonly groups: Buffer[] = []
  private group = new GrowingTree()
  private agreed = 0

  private constructor(
    private readonly trx: Trx,
    private readonly points: Point[],
    private readonly listings: Listing[],
  ) {}

  /** Reads the keys and checkpoints on record, and checks every signature. */
  static async begin(trx: Trx, { held, keys }: Evidence): Promise<TreeWatch> {
    const known = await knownKeys(trx)
    inWords('the keys that sign checkpoints', () => followKeys(known))
    const trusted = [...known, ...keys]
    const points = [
      ...(await recordedPoints(trx, known)),
      ...held.flatMap((one) => heldPoint(one, trusted)),
    ].sort((one, other) => one.size - other.size)
    const listings = await Promise.all(held.flatMap(listingOf))
    const watch = new TreeWatch(trx, points, listings)
    watch.counts.checkpoints = points.length
    watch.counts.heldCheckpoints = held.filter(({ checkpoint }) => checkpoint !== null).length
    return watch
  }

  /** Takes the next entry. */
  async add(leaf: Buffer, entry: { kind: string; id: string }): Promise<void> {
    const index = this.tree.size
    for (const listing of this.listings) await this.compare(listing, index, leaf, entry)
    this.tree.add(leaf)
    this.group.add(leaf)
    if (this.group.size === GROUP) {
      this.groups.push(this.group.root())
      this.group = new GrowingTree()
    }
    for (let point = this.points[0]; point?.size === index + 1; point = this.points[0]) {
      if (!this.tree.root().equals(point.root)) await this.tellWhere(point)
      this.agreed = point.size
      this.points.shift()
    }
  }

  /** After the last entry: nothing may be signed or kept elsewhere that is not there. */
  async end(): Promise<TreeCounts> {
    const size = this.tree.size
    const point = this.points[0]
    if (point !== undefined) {
      throw new Difference(
        `the journal has ${size} entries, and ${point.name} covers ${point.size}: ` +
          `entries from ${Math.min(size, point.size)} on are missing at its end`,
      )
    }
    for (const { name, next } of this.listings) {
      if (next === null) continue
      throw new Difference(
        `the journal has ${size} entries, and ${name} holds entry ${next.index} ` +
          `(${heldEntryName(next.canonical)}): it is missing at the journal's end`,
      )
    }
    await this.checkKept()
    return this.counts
  }

  private async compare(
    listing: Listing,
    index: number,
    leaf: Buffer,
    entry: { kind: string; id: string },
  ): Promise<void> {
    const { next, name } = listing
    if (next?.index !== index) return
    if (!leafHash(next.canonical).equals(leaf)) {
      throw new Difference(
        `entry ${index}: the journal has ${entryName(index, entry)}, leaf ` +
          `${leaf.toString('hex').slice(0, 16)}…, and ${name} has there ` +
          `${heldEntryName(next.canonical)}: from this index on the two differ`,
      )
    }
    this.counts.heldEntries += 1
    listing.next = await nextOf(listing)
  }

  /** A root tells that something differs; what was signed before, and kept hashes, tell where. */
  private async tellWhere({ name, size }: Point): Promise<never> {
    const from = this.agreed
    const range = from === size - 1 ? `entry ${from}` : `one of the entries ${from} to ${size - 1}`
    const near = await this.firstGroupThatDiffers(size)
    const closer =
      near === null
        ? 'the kept hashes of the tree were made anew since, so they cannot tell it closer'
        : `the kept hashes of the tree put the first at ${near} to ${near + GROUP - 1}`
    throw new Difference(
      `${name} of ${size} entries does not fit: ${range} was changed, removed, moved or put in ` +
        `after it was signed; ${closer}`,
    )
  }

  private async firstGroupThatDiffers(size: number): Promise<number | null> {
    const to = Math.min(Math.floor(size / GROUP), this.groups.length)
    for (let at = 0; at < to; at += STEP) {
      const kept = await keptHashes(this.trx, GROUP_LEVEL, at, Math.min(to, at + STEP))
      for (const [index, hash] of kept) {
        if (this.groups[index]?.equals(hash) === false) return index * GROUP
      }
    }
    return null
  }

  /** The hashes that proofs are read from must be those of the entries. */
  private async checkKept(): Promise<void> {
    let hashes = this.groups
    for (let level = GROUP_LEVEL; hashes.length > 0; level += GROUP_LEVEL) {
      for (let at = 0; at < hashes.length; at += STEP) {
        const kept = await keptHashes(this.trx, level, at, at + STEP)
        for (const [index, hash] of kept) {
          if (hashes[index]?.equals(hash) === true) continue
          throw new Difference(
            `the kept hash ${index} of level ${level} is not that of the entries ` +
              `${index * 2 ** level} to ${(index + 1) * 2 ** level - 1}: run “npm run rebuild”`,
          )
        }
      }
      for (let half = 0; half < GROUP_LEVEL; half += 1) hashes = pairsOf(hashes)
    }
    const beyond = await this.trx
      .selectFrom('tree_node')
      .select(['level', 'node_index'])
      .where(sql<boolean>`(node_index + 1) * (2 ^ level) > ${this.tree.size}`)
      .limit(1)
      .executeTakeFirst()
    if (beyond === undefined) return
    throw new Difference(
      `the tree keeps a hash of level ${beyond.level} beyond its ${this.tree.size} entries`,
    )
  }
}

function pairsOf(hashes: readonly Buffer[]): Buffer[] {
  return Array.from({ length: Math.floor(hashes.length / 2) }, (_, nr) =>
    nodeHash(hashes[nr * 2] ?? Buffer.alloc(0), hashes[nr * 2 + 1] ?? Buffer.alloc(0)),
  )
}

async function keptHashes(
  trx: Trx,
  level: number,
  from: number,
  to: number,
): Promise<[number, Buffer][]> {
  const rows = await trx
    .selectFrom('tree_node')
    .select(['node_index', 'hash'])
    .where('level', '=', level)
    .where('node_index', '>=', from)
    .where('node_index', '<', to)
    .orderBy('node_index')
    .execute()
  return rows.map(({ node_index, hash }) => [node_index, hash])
}

async function recordedPoints(trx: Trx, known: NoteKey[]): Promise<Point[]> {
  const rows = await trx
    .selectFrom('checkpoint')
    .select(['size', 'root', 'note'])
    .orderBy('size')
    .orderBy('key_number')
    .execute()
  return rows.map((row) => {
    const name = `the checkpoint on record`
    const stated = inWords(`${name} of ${row.size} entries`, () => {
      const note = openNote(row.note)
      if (signersOf(note, known).length === 0) throw new Error('it bears no signature of ours')
      return readCheckpoint(note.text)
    })
    if (stated.size !== row.size || !stated.root.equals(row.root)) {
      throw new Difference(`${name} of ${row.size} entries: its columns and its note differ`)
    }
    return { name, size: stated.size, root: stated.root }
  })
}

function heldPoint({ name, checkpoint }: Held, trusted: NoteKey[]): Point[] {
  if (checkpoint === null) return []
  const { size, root, note } = checkpoint
  const signers = inWords(name, () => signersOf(note, trusted))
  if (signers.length === 0) {
    const keys = trusted.map(keyText).join(', ') || 'none'
    throw new Difference(
      `${name} is signed by no key that is known here (${keys}): it is of another journal, or ` +
        'the keys on record were changed; name its key by --key if you trust it',
    )
  }
  return size === 0 ? [] : [{ name, size, root }]
}

function listingOf({ name, entries }: Held): Promise<Listing>[] {
  if (entries === null) return []
  const iterator = entries[Symbol.asyncIterator]()
  const listing = { name, entries: iterator, next: null }
  return [nextOf(listing).then((next) => ({ ...listing, next }))]
}

async function nextOf({ entries }: Listing): Promise<HeldEntry | null> {
  const step = await entries.next()
  return step.done === true ? null : step.value
}

function inWords<T>(name: string, read: () => T): T {
  try {
    return read()
  } catch (error) {
    throw new Difference(`${name}: ${error instanceof Error ? error.message : String(error)}`)
  }
}
