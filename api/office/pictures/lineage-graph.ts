// What a lineage picture shows: sources, lots, grafts and what they touched, and their links.

/** Most signs that one picture draws; more records are folded into groups. */
export const LINEAGE_NODE_LIMIT = 150
/** Most arrows that one picture should draw; more make the fold coarser. */
export const LINEAGE_EDGE_LIMIT = 400
/** Most signs above each other that a picture should have; more make the fold coarser. */
export const LINEAGE_COLUMN_LIMIT = 40
/** Most records that are taken in at all. */
export const LINEAGE_RECORD_LIMIT = 10_000
/** Most records in question that are kept apart from any group. */
export const LINEAGE_FOCUS_LIMIT = 20

/** The kinds of record in a lineage, in the words of one and of several. */
export const lineageKinds = {
  sourceBlock: ['source block', 'source blocks'],
  sourceVine: ['source vine', 'source vines'],
  lot: ['lot', 'lots'],
  split: ['split', 'splits'],
  combine: ['combination', 'combinations'],
  place: ['place', 'places'],
  bath: ['bath', 'baths'],
  graftGroup: ['grafts', 'groups of grafts'],
  stock: ['nursery stock', 'parts of nursery stock'],
} as const satisfies Record<string, readonly [string, string]>

export type LineageKind = keyof typeof lineageKinds

export interface LineageNode {
  /** Unique in the graph. */
  id: string
  kind: LineageKind
  label: string
  /** More about the record in a few words; may be empty. */
  detail: string
  /** A path on this site; anything else is not linked. */
  href: string | null
  /** Whether this is the record in question. */
  focus?: boolean
  /** What the record counts, so that a group of records can say the sum. */
  amount?: { count: number; unit: string }
}

/** An arrow from what wood came from, or touched, to what it became, or what touched it. */
export interface LineageEdge {
  from: string
  to: string
  /** A share such as “62.5 %”. */
  label: string | null
  /** The exact share and other particulars. */
  detail: string | null
}

export interface LineageGraph {
  nodes: readonly LineageNode[]
  edges: readonly LineageEdge[]
}

/**
 * Stops a graph that cannot be drawn: too many records, an id used twice, or an arrow to a record
 * that is not there.
 *
 * @throws RangeError, with the id or the number
 */
export function assertGraph(graph: LineageGraph): void {
  if (graph.nodes.length > LINEAGE_RECORD_LIMIT) {
    throw new RangeError(
      `the lineage has ${graph.nodes.length} records; at most ${LINEAGE_RECORD_LIMIT} are drawn: ` +
        'narrow the question, or take the table as a file',
    )
  }
  const ids = new Set<string>()
  for (const { id } of graph.nodes) {
    if (ids.has(id)) throw new RangeError(`the lineage has two records with the id ${id}`)
    ids.add(id)
  }
  for (const { from, to } of graph.edges) {
    const absent = [from, to].find((id) => !ids.has(id))
    if (absent !== undefined) throw new RangeError(`an arrow leads to or from no record: ${absent}`)
  }
}

/** Whether a link is one of contact, through a place or a bath, and not one of descent. */
export function isContact(from: LineageKind, to: LineageKind): boolean {
  return [from, to].some((kind) => kind === 'place' || kind === 'bath')
}
