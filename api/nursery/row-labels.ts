// Reads the labels of several rows at once: “1 to 12”, “A, B, C”, “3A”.
import { ROW_LIMIT } from '#wire/kinds/nursery.ts'
import { cellText } from './cell-text.ts'
import { foldName } from './closest-name.ts'
import { ROW_LABEL_LIMIT, acceptedCell, refusedCell } from './block-csv-types.ts'
import type { Reading } from './block-csv-types.ts'

/** Labels separated by commas; numbers in a range are written out. Each label once. */
export function readRowLabels(text: string): Reading<string[]> {
  const labels: string[] = []
  const seen = new Set<string>()
  for (const part of text.split(/[,;\n]+/)) {
    if (part.trim() === '') continue
    const written = readPart(part.trim())
    if (!written.ok) return written
    for (const label of written.value) {
      if (seen.has(foldName(label))) {
        return refusedCell(`Row ${label} is listed twice.`, 'Give each row a label of its own.')
      }
      seen.add(foldName(label))
      labels.push(label)
    }
  }
  if (labels.length === 0) return refusedCell('No row is named.', 'Write its label, like 1.')
  return labels.length > ROW_LIMIT ? tooMany(labels.length) : acceptedCell(labels)
}

function readPart(part: string): Reading<string[]> {
  const range = /^(\d{1,6})\s*(?:[-\u2010-\u2015\u2212]|\bto\b)\s*(\d{1,6})$/i.exec(part)
  if (range === null) {
    const label = cellText(part, ROW_LABEL_LIMIT)
    return label.ok ? acceptedCell([label.value]) : label
  }
  const [from, to] = [Number(range[1]), Number(range[2])]
  if (to < from) return refusedCell(`${part} runs backwards.`, `Write ${to} to ${from}.`)
  const count = to - from + 1
  if (count > ROW_LIMIT) return tooMany(count)
  return acceptedCell(Array.from({ length: count }, (_, nr) => String(from + nr)))
}

function tooMany(count: number): Reading<string[]> {
  return refusedCell(`These are ${count} rows.`, `A block has at most ${ROW_LIMIT}.`)
}
