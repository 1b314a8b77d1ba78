// Draws a vine's layers as boxes on top of each other, scions side by side, the roots below.
import type { VineLayer, VineStack } from '#trade/vine-stack.ts'

type Names = ReadonlyMap<string, string>

/** The stack, top first, with each layer's variety, clone and origin in words. */
export function StackDrawing(props: {
  stack: VineStack
  names: Names
  plantedYear: number | null
}) {
  const { stack, names } = props
  const scions = stack.layers.filter((layer) => layer.role === 'scion')
  const interstocks = stack.layers.filter((layer) => layer.role === 'interstock').reverse()
  const rootstocks = stack.layers.filter((layer) => layer.role === 'rootstock').reverse()
  if (stack.layers.length === 0) {
    return <p class="note">Neither a trunk nor a graft is recorded.</p>
  }
  return (
    <figure class="stack">
      <figcaption>Layers, from the top down</figcaption>
      <ol>
        {scions.length === 0 ? null : (
          <li>
            {scions.map((layer) => (
              <LayerBox layer={layer} names={names} />
            ))}
          </li>
        )}
        {[...interstocks, ...rootstocks].map((layer) => (
          <li>
            <LayerBox layer={layer} names={names} />
          </li>
        ))}
        {rootstocks.length > 0 ? null : (
          <li>
            <div class="layer unknown">trunk not recorded</div>
          </li>
        )}
        <li class="ground">
          roots{props.plantedYear === null ? '' : `, planted ${props.plantedYear}`}
        </li>
      </ol>
    </figure>
  )
}

function LayerBox({ layer, names }: { layer: VineLayer; names: Names }) {
  const clone = layer.clone === null ? '' : `, clone ${layer.clone}`
  return (
    <div class={layer.established ? `layer ${layer.role}` : `layer ${layer.role} unproven`}>
      <span class="role">{layer.role}</span>
      <strong>
        {names.get(layer.varietyId) ?? 'unknown variety'}
        {clone}
      </strong>
      <OriginWords layer={layer} names={names} />
      {layer.established ? null : <span class="quiet">not yet seen growing</span>}
    </div>
  )
}

function OriginWords({ layer: { origin }, names }: { layer: VineLayer; names: Names }) {
  if (origin.kind === 'lot') {
    return <a href={`/lots/${origin.lotId}`}>lot {names.get(origin.lotId) ?? 'not registered'}</a>
  }
  if (origin.kind === 'source') {
    return (
      <a href={`/sources/${origin.sourceId}`}>
        source {names.get(origin.sourceId) ?? 'not registered'}
      </a>
    )
  }
  return <span class="quiet">origin not recorded</span>
}
