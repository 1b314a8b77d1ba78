// Turns a trace into the graph that the lineage picture and its table show.
import { fractionToNumber } from '#trade/fractions.ts'
import type { Fraction } from '#trade/fractions.ts'
import type { LineageEdge as Step } from '../../trace/lineage.ts'
import type { LotNode, SourceNode } from '../../trace/nodes.ts'
import type { ReachedRow } from '../../trace/forward.ts'
import type { VinePart } from '../../trace/back.ts'
import type { LineageEdge, LineageGraph, LineageNode } from '../pictures/lineage-graph.ts'

type Reached = {
  sources: SourceNode[]
  lots: LotNode[]
  unknown: string[]
  lineage: { edges: Step[] }
}

/** Weights of a lot's parents among each other, for the shares on the arrows. */
export type ParentWeight = { lot_id: string; parent_lot_id: string; bud_equivalents: number }

/** The graph upstream of a vine or lot. `vine` names the vine when the trace began at one. */
export function backGraph(
  reached: Reached & { parts: VinePart[] },
  weights: ParentWeight[],
  focus: { id: string; label: string; vineHref: string | null },
): LineageGraph {
  const nodes = originNodes(reached, focus.id)
  const edges = reached.lineage.edges.map((edge) => stepArrow(edge, weights))
  if (focus.vineHref !== null) {
    nodes.push({
      id: focus.id,
      kind: 'graftGroup',
      label: focus.label,
      detail: 'this vine',
      href: focus.vineHref,
      focus: true,
    })
    for (const part of reached.parts) {
      if (part.origin_id === null) continue
      const detail = part.part === 'graft' ? `${part.bud_count} buds, ${part.method}` : part.part
      edges.push({ from: part.origin_id, to: focus.id, label: part.part, detail })
    }
  }
  return { nodes, edges: once(edges) }
}

/** The graph downstream of a source, lot or bath, with the vines folded by row. */
export function forwardGraph(
  reached: Reached & { rows: ReachedRow[] },
  weights: ParentWeight[],
  reachedBy: { row_id: string; origin_id: string; vines: number }[],
  focusIds: string[],
): LineageGraph {
  const nodes = originNodes(reached, ...focusIds)
  const edges = reached.lineage.edges.map((edge) => stepArrow(edge, weights))
  for (const row of reached.rows) {
    const where = row.row_label === null ? 'a row not laid out' : `row ${row.row_label}`
    nodes.push({
      id: row.row_id,
      kind: 'graftGroup',
      label: row.block === null ? where : `${row.block}, ${where}`,
      detail: `${row.vines} vines`,
      href: `/blocks/rows/${row.row_id}`,
      amount: { count: row.vines, unit: 'vines' },
    })
  }
  for (const { origin_id, row_id, vines } of reachedBy) {
    edges.push({ from: origin_id, to: row_id, label: null, detail: `${vines} vines` })
  }
  return { nodes, edges: once(edges) }
}

function originNodes(reached: Reached, ...focusIds: string[]): LineageNode[] {
  const inFocus = (id: string) => (focusIds.includes(id) ? { focus: true } : {})
  return [
    ...reached.sources.map((source) => ({
      id: source.source_id,
      kind: source.level === 'vine' ? ('sourceVine' as const) : ('sourceBlock' as const),
      label: source.name,
      detail: words(source.variety, source.clone, source.class, source.held ? 'on hold' : null),
      href: `/sources/${source.source_id}`,
      ...inFocus(source.source_id),
    })),
    ...reached.lots.map((lot) => ({
      id: lot.lot_id,
      kind: lotKind(lot.made_by),
      label: lot.reference,
      detail: words(lot.variety, lot.clone, lot.class, lot.held ? 'on hold' : null),
      href: `/lots/${lot.lot_id}`,
      ...inFocus(lot.lot_id),
    })),
    ...reached.unknown.map((id) => ({
      id,
      kind: 'lot' as const,
      label: 'not on record',
      detail: 'entries name it, but none says what it is',
      href: null,
      ...inFocus(id),
    })),
  ]
}

function lotKind(madeBy: string): LineageNode['kind'] {
  if (madeBy === 'split') return 'split'
  return madeBy === 'combined' ? 'combine' : 'lot'
}

function stepArrow(edge: Step, weights: ParentWeight[]): LineageEdge {
  const parents = weights.filter((weight) => weight.lot_id === edge.toId)
  const mine = parents.find((weight) => weight.parent_lot_id === edge.fromId)
  if (mine === undefined || parents.length < 2) {
    return { from: edge.fromId, to: edge.toId, label: null, detail: edge.how }
  }
  const total = parents.reduce((sum, weight) => sum + weight.bud_equivalents, 0)
  const share = { numerator: BigInt(mine.bud_equivalents), denominator: BigInt(total) }
  return {
    from: edge.fromId,
    to: edge.toId,
    label: percent(share),
    detail: `${mine.bud_equivalents} of ${total}`,
  }
}

/** A share as people read it, to a tenth of a percent. */
export function percent(share: Fraction): string {
  return `${Number((fractionToNumber(share) * 100).toFixed(1))} %`
}

/** A share as an exact fraction. */
export function exactly(share: Fraction): string {
  return share.denominator === 1n ? `${share.numerator}` : `${share.numerator}/${share.denominator}`
}

const words = (...parts: (string | null)[]) => parts.filter((part) => part !== null).join(', ')

/** The same pair of records may be linked by several grafts; the picture needs one arrow. */
function once(edges: LineageEdge[]): LineageEdge[] {
  const seen = new Map<string, LineageEdge>()
  for (const edge of edges) {
    const key = `${edge.from} ${edge.to}`
    if (!seen.has(key)) seen.set(key, edge)
  }
  return [...seen.values()]
}
