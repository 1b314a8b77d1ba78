// Invented lineages for the tests of the lineage picture, and what reaches what in them.
import fc from 'fast-check'
import {
  lineageKinds,
  type LineageEdge,
  type LineageGraph,
  type LineageKind,
  type LineageNode,
} from '../../../api/office/pictures/lineage-graph.ts'

export function record(
  id: string,
  kind: LineageKind,
  label: string,
  more: Partial<LineageNode> = {},
): LineageNode {
  return { id, kind, label, detail: '', href: `/records/${id}`, ...more }
}

export function link(from: string, to: string, label?: string, detail?: string): LineageEdge {
  return { from, to, label: label ?? null, detail: detail ?? null }
}

/** Two lots combined, soaked, split and grafted: every kind of record but one. */
export const season: LineageGraph = {
  nodes: [
    record('block', 'sourceBlock', 'Mother block North'),
    record('vine', 'sourceVine', 'Row 4, vine 17'),
    record('first', 'lot', '26-014', { detail: '120 sticks' }),
    record('second', 'lot', '26-015', { detail: '72 sticks' }),
    record('combining', 'combine', 'of 7 March 2026'),
    record('mixed', 'lot', '26-031', { detail: '192 sticks', focus: true }),
    record('bath', 'bath', 'Tank 2, filling 14'),
    record('room', 'place', 'Cold room A', { href: null }),
    record('row12', 'graftGroup', 'Row 12: 57 vines'),
    record('row13', 'graftGroup', 'Row 13: 61 vines'),
    record('stock', 'stock', 'Batch 7'),
  ],
  edges: [
    link('block', 'vine'),
    link('vine', 'first'),
    link('block', 'second'),
    link('first', 'combining', '62.5 %', '5/8'),
    link('second', 'combining', '37.5 %', '3/8'),
    link('combining', 'mixed'),
    link('room', 'first'),
    link('mixed', 'bath'),
    link('mixed', 'row12'),
    link('mixed', 'row13'),
    link('mixed', 'stock'),
  ],
}

/** Some 2,000 records, as a large recall gives: vines, lots of two vines each, grafts by row. */
export function recallOf(rowCount: number): LineageGraph {
  const nodes = [record('block', 'sourceBlock', 'Mother block North')]
  const edges: LineageEdge[] = []
  for (let vine = 0; vine < 40; vine += 1) {
    nodes.push(record(`vine${vine}`, 'sourceVine', `Vine ${vine}`))
    edges.push(link('block', `vine${vine}`))
  }
  for (let lot = 0; lot < 160; lot += 1) {
    nodes.push(record(`lot${lot}`, 'lot', `26-${lot}`, { focus: lot === 80 }))
    edges.push(link(`vine${lot % 40}`, `lot${lot}`, '50 %', '1/2'))
    const other = (lot * 7 + 1) % 40
    if (other !== lot % 40) edges.push(link(`vine${other}`, `lot${lot}`, '50 %', '1/2'))
  }
  for (let row = 0; row < rowCount; row += 1) {
    const amount = { count: 57, unit: 'vines' }
    nodes.push(record(`row${row}`, 'graftGroup', `Row ${row}: 57 vines`, { amount }))
    edges.push(link(`lot${row % 160}`, `row${row}`))
  }
  return { nodes, edges }
}

/** Any graph without circles, each record pointing only to later ones. */
export function anyLineage(mostNodes: number): fc.Arbitrary<LineageGraph> {
  const kinds = Object.keys(lineageKinds) as LineageKind[]
  const node = fc.record({
    kind: fc.constantFrom(...kinds.slice(0, 4)),
    focus: fc.nat({ max: 50 }).map((chance) => chance === 0),
    origins: fc.array(fc.nat(), { maxLength: 3 }),
  })
  return fc.array(node, { minLength: 1, maxLength: mostNodes }).map((made) => ({
    nodes: made.map(({ kind, focus }, at) => record(`n${at}`, kind, `Record ${at}`, { focus })),
    edges: made.flatMap(({ origins }, at) =>
      at === 0
        ? []
        : [...new Set(origins.map((n) => n % at))].map((from) => link(`n${from}`, `n${at}`)),
    ),
  }))
}

/** For each of so many nodes, all that can be reached from it, itself included. */
export function reached(
  count: number,
  edges: readonly { from: number; to: number }[],
): Set<number>[] {
  const next = Array.from({ length: count }, (): number[] => [])
  for (const { from, to } of edges) next[from]?.push(to)
  return next.map((_, start) => {
    const found = new Set([start])
    for (const at of found) for (const to of next[at] ?? []) found.add(to)
    return found
  })
}
