// Fetches a snapshot, or what changed since, with the rows of the blocks that are worked on.
import { Snapshot, SnapshotBlock, snapshotQuery, SNAPSHOT_VERSION } from '#wire/api-snapshot.ts'
import type { SnapshotBlockShape } from '#wire/api-snapshot.ts'
import type { Fetched, Known } from './known.ts'

/** Most positions of blocks that a phone fetches beyond those of this season. */
export const POSITION_LIMIT = 20_000

/** Asks the server for a path and query, signed; gives the answer’s text, or throws. */
export type Get = (target: string) => Promise<string>

/**
 * The server’s answer, checked through; nothing is kept yet. Blocks of this season are fetched,
 * and others while there is room.
 *
 * @throws what `get` throws, or an Error when an answer is not what it should be
 */
export async function fetchSnapshot(get: Get, known: Known | null): Promise<Fetched> {
  const held = known?.head.version === SNAPSHOT_VERSION ? known : null
  const snapshot = Snapshot.parse(JSON.parse(await get(`/api/snapshot${queryOf(held)}`)))
  const blocks: SnapshotBlockShape[] = []
  for (const { id } of wantedBlocks(snapshot.blocks, held)) {
    const old = held?.blocks.get(id)
    const query = old === undefined ? '' : snapshotQuery(old)
    blocks.push(SnapshotBlock.parse(JSON.parse(await get(`/api/snapshot/blocks/${id}${query}`))))
  }
  return { snapshot, blocks }
}

function queryOf(held: Known | null): string {
  if (held === null) return ''
  const { setting, sources, baths, holds, weather } = held.head
  const digests = [setting, sources, baths, holds, weather].map(({ digest }) => digest)
  return snapshotQuery(held.head, digests)
}

type Line = { id: string; positions: number; thisSeason: boolean; changed: boolean }

function wantedBlocks(blocks: readonly Line[], held: Known | null): Line[] {
  let room = POSITION_LIMIT
  const wanted: Line[] = []
  const first = blocks.filter((block) => block.thisSeason)
  for (const block of [...first, ...blocks.filter((other) => !other.thisSeason)]) {
    room -= block.positions
    if (!block.thisSeason && room < 0) continue
    const old = held?.blocks.get(block.id)
    const isBehind = held !== null && old !== undefined && old.next < held.head.next
    if (block.changed || old === undefined || isBehind) wanted.push(block)
  }
  return wanted
}
