// What the pieces of a lot are called, and what its sticks and buds come to.

/** Whole pieces (sticks, or vines) and buds. */
export type Pieces = { sticks: number; buds: number }

/** What one piece of this material is called: a stick of wood, or a vine. */
export function pieceWord(material: string | null, count: number): string {
  const word = material?.endsWith('vine') === true ? 'vine' : 'stick'
  return count === 1 ? word : `${word}s`
}

/** Like `40 sticks`, `40 sticks and 3 buds`, `3 buds` or `nothing`. */
export function piecesText(material: string | null, { sticks, buds }: Pieces): string {
  const parts: string[] = []
  if (sticks !== 0) parts.push(`${sticks} ${pieceWord(material, sticks)}`)
  if (buds !== 0) parts.push(`${buds} ${buds === 1 ? 'bud' : 'buds'}`)
  return parts.length === 0 ? 'nothing' : parts.join(' and ')
}
