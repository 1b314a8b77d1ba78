// That folding a lineage makes it small without losing a record or what leads to what.
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { foldLineage, type FoldedLineage } from '../../../api/office/pictures/lineage-fold.ts'
import {
  LINEAGE_COLUMN_LIMIT,
  LINEAGE_EDGE_LIMIT,
  LINEAGE_FOCUS_LIMIT,
  LINEAGE_NODE_LIMIT,
  LINEAGE_RECORD_LIMIT,
  type LineageGraph,
} from '../../../api/office/pictures/lineage-graph.ts'
import { countGenerations } from '../../../api/office/pictures/lineage-generations.ts'
import { anyLineage, link, reached, recallOf, record, season } from './lineage-samples.ts'

function signOfEach(fold: FoldedLineage): Map<string, number> {
  return new Map(fold.nodes.flatMap(({ members }, at) => members.map(({ id }) => [id, at])))
}

function expectFaithful(graph: LineageGraph, fold: FoldedLineage): void {
  const signOf = signOfEach(fold)
  const held = fold.nodes.flatMap((node) => node.members.map((member) => member.id))
  expect(held.sort()).toEqual(graph.nodes.map((node) => node.id).sort())
  for (const node of fold.nodes) {
    expect(node.members.every((member) => member.kind === node.kind)).toBe(true)
  }
  const indexOf = new Map(graph.nodes.map((node, at) => [node.id, at]))
  const before = reached(
    graph.nodes.length,
    graph.edges.map(({ from, to }) => ({
      from: indexOf.get(from) ?? -1,
      to: indexOf.get(to) ?? -1,
    })),
  )
  const after = reached(fold.nodes.length, fold.edges)
  const signs = graph.nodes.map((node) => signOf.get(node.id) ?? -1)
  const lost = graph.nodes.flatMap((node, at) =>
    [...(before[at] ?? [])]
      .filter((to) => after[signs[at] ?? -1]?.has(signs[to] ?? -1) !== true)
      .map((to) => `${node.id} no longer reaches ${graph.nodes[to]?.id}`),
  )
  expect(lost).toEqual([])
  const kept = fold.edges.reduce((sum, edge) => sum + edge.members.length, 0)
  const inside = graph.edges.filter(({ from, to }) => signOf.get(from) === signOf.get(to))
  expect(kept + inside.length).toBe(graph.edges.length)
}

test('every record is in one sign of its kind, and what reached it before reaches it still', () => {
  fc.assert(
    fc.property(anyLineage(400), (graph) => {
      const fold = foldLineage(graph)
      expect(fold.nodes.length).toBeLessThanOrEqual(LINEAGE_NODE_LIMIT)
      expectFaithful(graph, fold)
    }),
    { numRuns: 60 },
  )
})

test('a record in question stands in a sign of its own, however much is folded', () => {
  fc.assert(
    fc.property(anyLineage(400), (graph) => {
      const asked = graph.nodes.filter((node) => node.focus).slice(0, LINEAGE_FOCUS_LIMIT)
      const signOf = signOfEach(foldLineage(graph))
      const fold = foldLineage(graph)
      for (const { id } of asked) expect(fold.nodes[signOf.get(id) ?? -1]?.members).toHaveLength(1)
    }),
    { numRuns: 60 },
  )
})

test.each<[string, LineageGraph]>([
  ['a recall of 2,000 records', recallOf(1799)],
  ['one long chain', chainOf(2000)],
  ['one origin of 2,000', starOf(2000)],
  ['2,000 records without a link', { nodes: starOf(2000).nodes, edges: [] }],
  ['layers that all touch each other', meshOf(20, 100)],
])('%s fits the limits of signs, arrows and signs above each other', (_name, graph) => {
  const fold = foldLineage(graph)
  expect(graph.nodes.length).toBeGreaterThanOrEqual(2000)
  expect(fold.nodes.length).toBeLessThanOrEqual(LINEAGE_NODE_LIMIT)
  expect(fold.edges.length).toBeLessThanOrEqual(LINEAGE_EDGE_LIMIT)
  const column = new Map<number, number>()
  for (const at of generationsOf(fold)) column.set(at, (column.get(at) ?? 0) + 1)
  expect(Math.max(...column.values())).toBeLessThanOrEqual(LINEAGE_COLUMN_LIMIT)
  expectFaithful(graph, fold)
})

test('a lineage within the limits is not folded', () => {
  const fold = foldLineage(season)
  expect(fold.nodes.map((node) => node.members)).toEqual(season.nodes.map((node) => [node]))
  expect(fold.edges.map((edge) => edge.members)).toEqual(season.edges.map((edge) => [edge]))
})

test('where twins suffice for the limits, folding adds no path that was not there', () => {
  const graph = starOf(60)
  const lots = Array.from({ length: 3 }, (_, at) => record(`lot${at}`, 'lot', `Lot ${at}`))
  const grafts = Array.from({ length: 300 }, (_, at) =>
    record(`row${at}`, 'graftGroup', `Row ${at}`),
  )
  const nodes = [...lots, ...grafts]
  const edges = grafts.map(({ id }, at) => link(`lot${at % 3}`, id))
  const fold = foldLineage({ nodes, edges })
  const signOf = signOfEach(fold)
  const after = reached(fold.nodes.length, fold.edges)
  for (const [at, graft] of grafts.entries()) {
    for (const [index, lot] of lots.entries()) {
      const leads = after[signOf.get(lot.id) ?? -1]?.has(signOf.get(graft.id) ?? -1)
      expect(leads).toBe(at % 3 === index)
    }
  }
  expect(foldLineage(graph).nodes).toHaveLength(2)
})

test('a circle, which only faulty records form, is folded like anything else', () => {
  const nodes = Array.from({ length: 400 }, (_, at) => record(`n${at}`, 'lot', `Lot ${at}`))
  const edges = nodes.map(({ id }, at) => link(id, `n${(at + 1) % nodes.length}`))
  const fold = foldLineage({ nodes, edges })
  expect(fold.nodes.length).toBeLessThanOrEqual(LINEAGE_NODE_LIMIT)
  expectFaithful({ nodes, edges }, fold)
})

test('an id used twice, an arrow into nothing and too many records are refused by name', () => {
  const one = record('a', 'lot', 'A')
  expect(() => foldLineage({ nodes: [one, one], edges: [] })).toThrow('two records with the id a')
  expect(() => foldLineage({ nodes: [one], edges: [link('a', 'b')] })).toThrow('no record: b')
  const many = starOf(LINEAGE_RECORD_LIMIT + 1)
  expect(() => foldLineage(many)).toThrow(`at most ${LINEAGE_RECORD_LIMIT} are drawn`)
})

function chainOf(count: number): LineageGraph {
  const nodes = Array.from({ length: count }, (_, at) =>
    record(`n${at}`, at % 2 === 0 ? 'lot' : 'split', `Record ${at}`, { focus: at === 1000 }),
  )
  return { nodes, edges: nodes.slice(1).map(({ id }, at) => link(`n${at}`, id)) }
}

function starOf(count: number): LineageGraph {
  const nodes = Array.from({ length: count }, (_, at) =>
    record(`n${at}`, at === 0 ? 'lot' : 'graftGroup', `Record ${at}`),
  )
  return { nodes, edges: nodes.slice(1).map(({ id }) => link('n0', id)) }
}

function meshOf(layers: number, perLayer: number): LineageGraph {
  const nodes = Array.from({ length: layers * perLayer }, (_, at) =>
    record(`n${at}`, 'lot', `Lot ${at}`, { focus: at === 500 }),
  )
  const edges = nodes.flatMap(({ id }, at) =>
    [1, 7, 31].flatMap((step) => {
      const layer = Math.floor(at / perLayer)
      if (layer + 1 === layers) return []
      return link(id, `n${(layer + 1) * perLayer + ((at * step + step) % perLayer)}`)
    }),
  )
  return { nodes, edges }
}

function generationsOf(fold: FoldedLineage): number[] {
  const parents = fold.nodes.map(() => new Set<number>())
  const children = fold.nodes.map(() => new Set<number>())
  for (const { from, to } of fold.edges) {
    parents[to]?.add(from)
    children[from]?.add(to)
  }
  return countGenerations(parents, children)
}
