// Folds a large lineage into a picture's worth of signs without losing what leads to what.
import {
  LINEAGE_COLUMN_LIMIT,
  LINEAGE_EDGE_LIMIT,
  LINEAGE_FOCUS_LIMIT,
  LINEAGE_NODE_LIMIT,
  assertGraph,
  type LineageEdge,
  type LineageGraph,
  type LineageKind,
  type LineageNode,
} from './lineage-graph.ts'
import { countGenerations } from './lineage-generations.ts'

/** One sign of the picture: a record, or several records of one kind. */
export interface FoldedNode {
  kind: LineageKind
  focus: boolean
  members: LineageNode[]
}

/** One arrow of the picture: all links between the records of two signs. */
export interface FoldedEdge {
  /** Indices into the folded nodes. */
  from: number
  to: number
  members: LineageEdge[]
}

export interface FoldedLineage {
  nodes: FoldedNode[]
  edges: FoldedEdge[]
}

/**
 * Folds a lineage so that it has at most `LINEAGE_NODE_LIMIT` signs, and where possible no more
 * arrows and no more signs above each other than their limits. What reached a record before
 * still reaches its sign. Merged are, in this order and not much more than needed: records of one
 * kind with the same links on both sides; with the same origins; with the same outcomes; of the
 * same generation; of neighbouring generations. Only the first of these adds no false path, so a
 * stack shows what *may* lead where; the table has the exact links. Records in question stay
 * apart.
 *
 * @throws RangeError for a graph that `assertGraph` stops
 */
export function foldLineage(graph: LineageGraph): FoldedLineage {
  assertGraph(graph)
  const focus = new Set(graph.nodes.filter((node) => node.focus).slice(0, LINEAGE_FOCUS_LIMIT))
  let fold = quotient(
    graph,
    graph.nodes.map((node) => [node]),
  )
  for (const rule of rules()) {
    for (let round = 0; round < ROUND_LIMIT; round += 1) {
      const crowd = crowdOf(fold)
      if (crowd === null) return fold
      const groups = mergeClasses(fold, rule, focus, crowd)
      if (groups.length === fold.nodes.length) break
      fold = quotient(graph, groups)
    }
  }
  return fold
}

// Merging siblings makes siblings of their offspring. Where that goes on for longer than this,
// the next rule takes over; the last rule needs one round for each distance.
const ROUND_LIMIT = 16
// Records in question and their neighbours are merged last; beyond this, distance does not count.
const DISTANCE_LIMIT = 4

type Fold = FoldedLineage & {
  /** For each sign, the signs that it comes from and leads to. */
  parents: Set<number>[]
  children: Set<number>[]
  generations: number[]
}

// How many signs are too many, and in which generation; null for the whole picture.
interface Crowd {
  excess: number
  generation: number | null
}

function crowdOf(fold: Fold): Crowd | null {
  const excess = fold.nodes.length - LINEAGE_NODE_LIMIT
  if (excess > 0) return { excess, generation: null }
  const perGeneration = new Map<number, number>()
  for (const generation of fold.generations) {
    perGeneration.set(generation, (perGeneration.get(generation) ?? 0) + 1)
  }
  for (const [generation, count] of perGeneration) {
    if (count > LINEAGE_COLUMN_LIMIT) return { excess: count - LINEAGE_COLUMN_LIMIT, generation }
  }
  return fold.edges.length > LINEAGE_EDGE_LIMIT ? { excess: 1, generation: null } : null
}

/** Names the class of a sign; signs of one kind and class may be merged. */
type Rule = (fold: Fold, index: number) => string

function* rules(): Generator<Rule> {
  yield ({ parents, children }, at) => `${list(parents[at])}>${list(children[at])}`
  yield ({ parents }, at) => list(parents[at])
  yield ({ children }, at) => list(children[at])
  for (let band = 1; band <= MOST_GENERATIONS; band *= 2) {
    yield ({ generations }, at) => `${Math.floor((generations[at] ?? 0) / band)}`
  }
}

// A power of two above the largest number of records, hence of generations.
const MOST_GENERATIONS = 16_384

function list(signs: Set<number> | undefined): string {
  return [...(signs ?? [])].sort((left, right) => left - right).join(',')
}

// Merges whole classes, the largest of the furthest first, until the crowd is gone or the furthest
// are merged.
function mergeClasses(
  fold: Fold,
  rule: Rule,
  focus: ReadonlySet<LineageNode>,
  crowd: Crowd,
): LineageNode[][] {
  const distances = distancesFromFocus(fold)
  const open = classesOf(fold, rule, focus, crowd.generation).map((signs) => ({
    signs,
    distance: signs.reduce((least, at) => Math.min(least, distances[at] ?? 0), DISTANCE_LIMIT),
  }))
  const furthest = open.reduce((most, { distance }) => Math.max(most, distance), 0)
  const candidates = open.filter(({ distance }) => distance === furthest)
  candidates.sort((left, right) => right.signs.length - left.signs.length)
  const mergedInto = new Map<number, number>()
  let { excess } = crowd
  for (const { signs } of candidates) {
    if (excess <= 0) break
    for (const sign of signs) mergedInto.set(sign, signs[0] ?? sign)
    excess -= signs.length - 1
  }
  const groups = new Map<number, LineageNode[]>()
  for (const [index, node] of fold.nodes.entries()) {
    const into = mergedInto.get(index) ?? index
    const group = groups.get(into)
    if (group === undefined) groups.set(into, [...node.members])
    else group.push(...node.members)
  }
  return [...groups.values()]
}

// Steps to the nearest record in question, along links in either direction.
function distancesFromFocus({ nodes, parents, children }: Fold): number[] {
  const distances = nodes.map((node): number => (node.focus ? 0 : DISTANCE_LIMIT))
  let reached = distances.flatMap((distance, at) => (distance === 0 ? [at] : []))
  for (let distance = 1; distance < DISTANCE_LIMIT; distance += 1) {
    const next: number[] = []
    for (const at of reached) {
      for (const neighbour of [...(parents[at] ?? []), ...(children[at] ?? [])]) {
        if ((distances[neighbour] ?? 0) <= distance) continue
        distances[neighbour] = distance
        next.push(neighbour)
      }
    }
    reached = next
  }
  return distances
}

function classesOf(
  fold: Fold,
  rule: Rule,
  focus: ReadonlySet<LineageNode>,
  generation: number | null,
): number[][] {
  const classes = new Map<string, number[]>()
  for (const [index, node] of fold.nodes.entries()) {
    if (generation !== null && fold.generations[index] !== generation) continue
    if (node.members.some((member) => focus.has(member))) continue
    const key = `${node.kind} ${rule(fold, index)}`
    const found = classes.get(key)
    if (found === undefined) classes.set(key, [index])
    else found.push(index)
  }
  return [...classes.values()].filter((signs) => signs.length > 1)
}

function quotient(graph: LineageGraph, groups: readonly LineageNode[][]): Fold {
  const signOf = new Map<string, number>()
  const nodes: FoldedNode[] = []
  for (const members of groups) {
    const [first] = members
    if (first === undefined) continue
    for (const member of members) signOf.set(member.id, nodes.length)
    const focus = members.some((member) => member.focus === true)
    nodes.push({ kind: first.kind, focus, members })
  }
  const edges = new Map<string, FoldedEdge>()
  const parents = nodes.map(() => new Set<number>())
  const children = nodes.map(() => new Set<number>())
  for (const edge of graph.edges) {
    const from = signOf.get(edge.from) ?? 0
    const to = signOf.get(edge.to) ?? 0
    if (from === to) continue
    parents[to]?.add(from)
    children[from]?.add(to)
    const key = `${from} ${to}`
    const found = edges.get(key)
    if (found === undefined) edges.set(key, { from, to, members: [edge] })
    else found.members.push(edge)
  }
  return {
    nodes,
    edges: [...edges.values()],
    parents,
    children,
    generations: countGenerations(parents, children),
  }
}
