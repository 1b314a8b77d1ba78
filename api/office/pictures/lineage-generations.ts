// Counts generations in a lineage: how many steps each record is from the furthest origin.

/**
 * The length of the longest path that leads to each node, from 0, where `parents` and `children`
 * hold the node numbers on either side. In a circle, which only faulty records can form, the
 * first node of it is taken as its beginning.
 */
export function countGenerations(
  parents: readonly ReadonlySet<number>[],
  children: readonly ReadonlySet<number>[],
): number[] {
  const generation = parents.map(() => 0)
  const waiting = parents.map((each) => each.size)
  const done = parents.map(() => false)
  const ready = waiting.flatMap((count, node) => (count === 0 ? [node] : []))
  let firstOpen = 0
  for (let counted = 0; counted < parents.length;) {
    let node = ready.pop()
    if (node === undefined) {
      while (done[firstOpen] === true) firstOpen += 1
      node = firstOpen
    }
    if (done[node] === true) continue
    done[node] = true
    counted += 1
    for (const child of children[node] ?? []) {
      if (done[child] === true) continue
      generation[child] = Math.max(generation[child] ?? 0, (generation[node] ?? 0) + 1)
      waiting[child] = (waiting[child] ?? 0) - 1
      if (waiting[child] === 0) ready.push(child)
    }
  }
  return generation
}
