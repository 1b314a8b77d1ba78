// Draws a dossier as a tagged PDF to read and to file: rules first, then tables, then the proof.
import PDFDocument from 'pdfkit'
import { FONT_FILES } from '../labels/fonts.ts'
import type { DossierContent, DossierTable, RuleAnswer } from './dossier-shape.ts'
import { drawCheckpoint } from './pdf-checkpoint.ts'
import { PdfPage } from './pdf-page.ts'

/** Rows of one table on paper; the page and the JSON file hold all. */
const ROW_LIMIT = 250
const marginPt = 36

/** The PDF; it names the SHA-256 of the content, and the seal names that of the PDF. */
export async function drawDossier(content: DossierContent, contentSha256: Buffer): Promise<Buffer> {
  const { subject, nursery, madeAt } = content
  const document = new PDFDocument({
    autoFirstPage: false,
    size: 'A4',
    layout: 'landscape',
    margin: marginPt,
    pdfVersion: '1.7',
    tagged: true,
    lang: 'en',
    displayTitle: true,
    bufferPages: true,
    info: {
      Title: `Dossier: ${subject.label}`,
      Creator: 'Canemark',
      Producer: 'Canemark',
      CreationDate: new Date(madeAt),
    },
  })
  for (const [name, file] of Object.entries(FONT_FILES)) document.registerFont(name, file)
  const chunks: Buffer[] = []
  const finished = new Promise<Buffer>((resolve, reject) => {
    document.on('data', (chunk: Buffer) => chunks.push(chunk))
    document.on('end', () => resolve(Buffer.concat(chunks)))
    document.on('error', reject)
  })
  const page = new PdfPage(document)
  page.heading('H1', `Dossier: ${subject.label}`)
  page.paragraph(`${nursery.name} ${nursery.country} ${nursery.operatorNumber}`.trim())
  page.paragraph(`Made ${madeAt} (UTC); times in the tables are those of ${nursery.timeZone}.`)
  page.paragraph(content.statement)
  page.paragraph(
    `This paper is one of three forms of the same dossier. Its content has the SHA-256 ` +
      `${contentSha256.toString('hex')}; the page and the JSON file prove each entry, and tell ` +
      'whether this very PDF is the one that was sealed with them.',
  )
  page.heading('H2', 'Rules')
  drawRules(page, content.rules)
  for (const table of content.tables) drawTable(page, table)
  page.heading('H2', 'Signed checkpoint')
  drawCheckpoint(page, content)
  page.footers(`Dossier: ${subject.label} · content ${contentSha256.toString('hex').slice(0, 16)}…`)
  page.end()
  return finished
}

function drawRules(page: PdfPage, rules: readonly RuleAnswer[]): void {
  page.table(
    ['Rule', 'Answer', 'Why', 'Asked for by'],
    rules.map((rule) => [
      rule.rule,
      rule.result.toUpperCase(),
      rule.because,
      ['read', 'our own'].includes(rule.citationKnown)
        ? rule.citation
        : `${rule.citation} (${rule.citationKnown})`,
    ]),
    [26, 9, 40, 25],
  )
}

function drawTable(page: PdfPage, table: DossierTable): void {
  page.heading('H2', table.title)
  page.paragraph(table.note)
  const { rows, columns } = table
  if (rows.length === 0) return page.paragraph('None.')
  if (rows.length > ROW_LIMIT) {
    return page.paragraph(
      `${rows.length} rows: too many for paper. They stand in the page and in the JSON file.`,
    )
  }
  page.table(
    columns,
    rows.map(({ cells }) => cells),
  )
}
