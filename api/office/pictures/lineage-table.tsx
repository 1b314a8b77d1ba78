// The records and links of a lineage picture as two tables.
import { foldLineage } from './lineage-fold.ts'
import { lineageKinds, type LineageGraph, type LineageNode } from './lineage-graph.ts'
import { signWords } from './lineage-words.ts'
import { counted, siteLink } from './svg-text.ts'

/** Most records, and most links, that the tables list; captions say when there are more. */
export const LINEAGE_TABLE_LIMIT = 5_000

/**
 * The same data as the picture: every record with its kind, particulars and the stack that it is
 * drawn in, and every link with its share.
 *
 * @throws RangeError for a graph that `assertGraph` stops
 */
export function lineageTable(options: { graph: LineageGraph; title: string }) {
  const { graph, title } = options
  const byId = new Map(graph.nodes.map((node) => [node.id, node]))
  return (
    <>
      <RecordTable graph={graph} title={title} />
      <LinkTable graph={graph} title={title} byId={byId} />
    </>
  )
}

function RecordTable({ graph, title }: { graph: LineageGraph; title: string }) {
  const stackOf = stackWords(graph)
  const stacked = stackOf.size > 0
  const listed = graph.nodes.slice(0, LINEAGE_TABLE_LIMIT)
  return (
    <div class="table">
      <table>
        <caption>{`${title}: ${shownOf(listed.length, graph.nodes.length, 'records')}`}</caption>
        <thead>
          <tr>
            <th scope="col">Record</th>
            <th scope="col">Kind</th>
            <th scope="col">Particulars</th>
            {stacked ? <th scope="col">In the picture</th> : null}
          </tr>
        </thead>
        <tbody>
          {listed.map((node) => (
            <tr>
              <th scope="row">
                <RecordName node={node} />
              </th>
              <td>{`${lineageKinds[node.kind][0]}${node.focus ? ', in question' : ''}`}</td>
              <td>{node.detail}</td>
              {stacked ? <td>{stackOf.get(node.id) ?? 'by itself'}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

function LinkTable(props: {
  graph: LineageGraph
  title: string
  byId: ReadonlyMap<string, LineageNode>
}) {
  const { edges } = props.graph
  const listed = edges.slice(0, LINEAGE_TABLE_LIMIT)
  return (
    <div class="table">
      <table>
        <caption>{`${props.title}: ${shownOf(listed.length, edges.length, 'links')}`}</caption>
        <thead>
          <tr>
            <th scope="col">From</th>
            <th scope="col">To</th>
            <th scope="col">Share</th>
            <th scope="col">Particulars</th>
          </tr>
        </thead>
        <tbody>
          {listed.map((edge) => (
            <tr>
              <td>
                <RecordName node={props.byId.get(edge.from)} />
              </td>
              <td>
                <RecordName node={props.byId.get(edge.to)} />
              </td>
              <td>{edge.label ?? ''}</td>
              <td>{edge.detail ?? ''}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

function RecordName({ node }: { node: LineageNode | undefined }) {
  const href = siteLink(node?.href)
  return href === null ? <>{node?.label ?? ''}</> : <a href={href}>{node?.label ?? ''}</a>
}

function stackWords(graph: LineageGraph): Map<string, string> {
  const words = new Map<string, string>()
  for (const sign of foldLineage(graph).nodes) {
    if (sign.members.length === 1) continue
    const stack = `stack of ${signWords(sign).label}`
    for (const member of sign.members) words.set(member.id, stack)
  }
  return words
}

function shownOf(shown: number, all: number, noun: string): string {
  if (shown === all) return `${counted(all)} ${noun}`
  return `the first ${counted(shown)} of ${counted(all)} ${noun}`
}
