// The lineage picture of a trace, with the same steps as a table.
import { raw } from 'hono/html'
import type { LineageGraph } from '../pictures/lineage-graph.ts'
import { lineageSvg } from '../pictures/lineage.ts'
import { Table } from '../layout.tsx'

const tableLimit = 1000

/** Draws the graph; a graph too large to draw says so, and its table stays. */
export async function LineagePicture(props: { graph: LineageGraph; title: string }) {
  const { graph, title } = props
  if (graph.nodes.length < 2) return null
  let svg: string | null = null
  try {
    svg = await lineageSvg(graph, { title })
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
  }
  const labels = new Map(graph.nodes.map((node) => [node.id, node.label]))
  return (
    <section aria-label="Lineage">
      <h2>Lineage</h2>
      {svg === null ? (
        <p class="note">This lineage is too large to draw; the tables hold it all.</p>
      ) : (
        <figure>{raw(svg)}</figure>
      )}
      <details>
        <summary>The same as a table ({graph.edges.length} steps)</summary>
        <Table caption="What came of what" head={['From', 'To', 'Share', 'How']}>
          {graph.edges.slice(0, tableLimit).map((edge) => (
            <tr>
              <td>{labels.get(edge.from)}</td>
              <td>{labels.get(edge.to)}</td>
              <td class="number">{edge.label ?? ''}</td>
              <td>{edge.detail ?? ''}</td>
            </tr>
          ))}
        </Table>
        {graph.edges.length > tableLimit ? (
          <p>The first {tableLimit} of them; the CSV file has all.</p>
        ) : null}
      </details>
    </section>
  )
}
