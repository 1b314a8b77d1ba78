// Prints a checkpoint so that it can be typed or photographed off the paper: text and QR symbol.
import { create } from 'qrcode'
import type { DossierContent, DossierProof } from './dossier-shape.ts'
import { openNote } from '../journal/note.ts'
import { readCheckpoint } from '../journal/checkpoint.ts'
import { readStampWords } from '../journal/stamp-answer.ts'
import type { PdfPage } from './pdf-page.ts'

const quietModules = 4
const modulePt = 1.6

/** The checkpoint of a dossier, in words, by key, and as a symbol that holds the whole note. */
export function drawCheckpoint(page: PdfPage, { proof }: DossierContent): void {
  const { origin, size, root } = readCheckpoint(openNote(proof.checkpoint).text)
  page.paragraph(
    `The journal ${origin} held ${size} entries, and the root of its tree (RFC 6962) was`,
  )
  page.paragraph(inGroups(root.toString('hex')), 'code')
  page.paragraph('It was signed by the last of these keys, each named by the one before:')
  for (const { key } of proof.keys) page.paragraph(key, 'code')
  page.paragraph('The signed note as it stands; the symbol holds the same text.')
  page.paragraph(proof.checkpoint.trimEnd(), 'code')
  drawSymbol(page, proof.checkpoint)
  drawStamps(page, proof)
}

/** What the stamps say, for a person; the page and the recipe check them. */
function drawStamps(page: PdfPage, { timestamps = [] }: DossierProof): void {
  for (const { size, token } of timestamps) {
    const { stampedAt, authority } = readStampWords(Buffer.from(token, 'base64'))
    page.paragraph(
      `Its first ${size} entries were stamped at ${stampedAt.toISOString()} by ${authority} ` +
        '(says the stamp). The page and the JSON file hold the stamp itself.',
    )
  }
}

/** Sixty-four digits in groups of eight, so that they can be read aloud. */
export function inGroups(hex: string): string {
  return (hex.match(/.{1,8}/g) ?? []).join(' ')
}

function drawSymbol(page: PdfPage, note: string): void {
  const { modules } = create(note, { errorCorrectionLevel: 'M' })
  const side = (modules.size + 2 * quietModules) * modulePt
  page.figure('QR symbol that holds the text of the signed checkpoint above', side, (x, y) => {
    const { document } = page
    document.save().translate(x + quietModules * modulePt, y + quietModules * modulePt)
    for (let row = 0; row < modules.size; row += 1) {
      for (let column = 0; column < modules.size; column += 1) {
        if (modules.get(row, column) === 0) continue
        document.rect(column * modulePt, row * modulePt, modulePt, modulePt)
      }
    }
    document.fill('black').restore()
  })
}
