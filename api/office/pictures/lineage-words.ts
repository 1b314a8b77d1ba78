// The words on the signs and arrows of a lineage picture, for one record and for groups.
import type { FoldedEdge, FoldedNode } from './lineage-fold.ts'
import { lineageKinds, type LineageNode } from './lineage-graph.ts'
import { counted } from './svg-text.ts'

/** The three lines of a sign: its kind, what it is called, and more about it. */
export interface SignWords {
  kind: string
  label: string
  detail: string
  /** All of it, for tooltips and screen readers. */
  full: string
}

/** How many members of a group its tooltip names. */
const NAMED_MEMBERS = 12

/** The words of one sign. */
export function signWords(node: FoldedNode): SignWords {
  const [one, several] = lineageKinds[node.kind]
  const question = node.focus ? ' · in question' : ''
  const [first] = node.members
  if (first !== undefined && node.members.length === 1) {
    const detail = first.detail === '' ? '' : `. ${first.detail}`
    const kind = `${one}${question}`
    return {
      kind,
      label: first.label,
      detail: first.detail,
      full: `${kind}: ${first.label}${detail}`,
    }
  }
  const label = `${counted(node.members.length)} ${several}`
  const sum = amountWords(node.members)
  const names = node.members.slice(0, NAMED_MEMBERS).map((member) => member.label)
  const more = node.members.length - names.length
  const rest = more === 0 ? '' : ` and ${counted(more)} more`
  const full = `${label}${question}${sum === '' ? '' : `, ${sum}`}: ${names.join(', ')}${rest}`
  return { kind: `stack${question}`, label, detail: sum === '' ? names.join(', ') : sum, full }
}

/** The words of one arrow: the share, and who gives what to whom. */
export function arrowWords(
  edge: FoldedEdge,
  nodes: readonly FoldedNode[],
): { label: string; full: string } {
  const ends = [edge.from, edge.to].map((index) => {
    const node = nodes[index]
    return node === undefined ? '' : signWords(node).label
  })
  const lead = `${ends[0]} to ${ends[1]}`
  const details = edge.members
    .map((member) => [member.label, member.detail].filter((part) => part !== null).join(', '))
    .filter((words) => words !== '')
  const different = [...new Set(details)]
  const named = different.slice(0, NAMED_MEMBERS)
  const more = different.length > named.length ? '; …' : ''
  const count = edge.members.length === 1 ? '' : ` (${counted(edge.members.length)} links)`
  const tail = named.length === 0 ? '' : `: ${named.join('; ')}${more}`
  return { label: shareWords(edge), full: `${lead}${count}${tail}` }
}

function shareWords({ members }: FoldedEdge): string {
  const labels = members.map((member) => member.label ?? '')
  const different = new Set(labels)
  const [first = ''] = labels
  if (labels.length === 1 || (different.size === 1 && first === '')) return first
  if (different.size === 1) return `${first} each`
  if (labels.length === 2 && !different.has('')) return labels.join(', ')
  return `${counted(labels.length)} links`
}

function amountWords(members: readonly LineageNode[]): string {
  const unit = members[0]?.amount?.unit
  if (unit === undefined || members.some((member) => member.amount?.unit !== unit)) return ''
  const sum = members.reduce((total, member) => total + (member.amount?.count ?? 0), 0)
  return `${counted(sum)} ${unit}`
}
