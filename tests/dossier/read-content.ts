// Reads a dossier's content as a reader of its JSON would.
import type { DossierContent } from '../../api/dossier/dossier-shape.ts'

/** The cells of the one table whose title begins so. */
export function tableOf({ tables }: DossierContent, title: string): string[][] {
  const found = tables.filter((table) => table.title.startsWith(title))
  if (found.length !== 1) throw new Error(`${found.length} tables begin with “${title}”`)
  return found.flatMap(({ rows }) => rows.map(({ cells }) => cells))
}

/** The indexes of all entries that it carries. */
export function indexesIn({ proof }: DossierContent): Set<number> {
  return new Set(proof.entries.map(({ index }) => index))
}
