// Ways to change a dossier after it was sealed, each as somebody with an editor would.
import { canonicalBytes } from '../../api/journal/canonical.ts'
import type { DossierContent } from '../../api/dossier/dossier-shape.ts'

/** The file with its content changed, and the seal as it was. */
export function withContent(
  json: Buffer,
  change: (content: DossierContent) => void,
  seal?: (old: string) => string,
): string {
  const file = JSON.parse(json.toString('utf8')) as { dossier: DossierContent; seal: string }
  change(file.dossier)
  const content = canonicalBytes(file.dossier).toString('utf8')
  return `{"dossier":${content},"seal":${JSON.stringify(seal?.(file.seal) ?? file.seal)}}\n`
}

/** The entry in the middle, which most tests change. */
export function middleEntry({ proof }: DossierContent) {
  const entry = proof.entries[Math.floor(proof.entries.length / 2)]
  if (entry === undefined) throw new Error('the dossier has no entries')
  return entry
}

/** One digit of a time of the entry becomes another. */
export function changeByte(entry: { entry: string }): void {
  entry.entry = entry.entry.replace(
    /("occurredAt":"\d{4}-\d\d-\d\dT\d\d:\d\d:\d)(\d)/,
    (_, before: string, digit: string) => `${before}${(Number(digit) + 1) % 10}`,
  )
}
