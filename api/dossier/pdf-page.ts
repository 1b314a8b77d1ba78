// Sets headings, paragraphs and tables on pages, each tagged for what it is.
type Document = PDFKit.PDFDocument
type Element = ReturnType<Document['struct']>

const sizes = { H1: 16, H2: 11, text: 8, small: 7 } as const
const padPt = 3
const footerPt = 14

/** Writes down the pages of one document, from the top of the first to the end of the last. */
export class PdfPage {
  readonly document: Document
  private readonly root: Element

  constructor(document: Document) {
    this.document = document
    document.addPage()
    this.root = document.struct('Document')
    document.addStructure(this.root)
  }

  /** Width between the margins, in points. */
  get width(): number {
    const { width, margins } = this.document.page
    return width - margins.left - margins.right
  }

  private get bottom(): number {
    const { height, margins } = this.document.page
    return height - margins.bottom - footerPt
  }

  /** Begins a new page unless `heightPt` is left on this one. */
  makeRoom(heightPt: number): void {
    if (this.document.y + heightPt > this.bottom) this.document.addPage()
  }

  heading(type: 'H1' | 'H2', text: string): void {
    this.document.font('bold').fontSize(sizes[type])
    // A heading keeps two lines of what follows with it.
    this.makeRoom(this.document.heightOfString(text, { width: this.width }) + 40)
    this.document.y += type === 'H2' ? 8 : 0
    this.write(type, text, 'bold', sizes[type])
    this.document.y += 3
  }

  paragraph(text: string, font: 'text' | 'code' = 'text'): void {
    this.document.font(font).fontSize(sizes.text)
    this.makeRoom(this.document.heightOfString(text, { width: this.width }))
    this.write('P', text, font, sizes.text)
    this.document.y += 3
  }

  private write(type: string, text: string, font: string, size: number): void {
    const { document } = this
    const element = document.struct(type, {}, () => {
      document.font(font).fontSize(size).fillColor('black')
      document.text(text, document.page.margins.left, document.y, { width: this.width })
    })
    this.root.add(element)
    element.end()
  }

  /** A table whose head is repeated on each page; `shares` are widths in hundredths. */
  table(head: string[], rows: string[][], shares = this.sharesOf(head, rows)): void {
    const widths = shares.map((share) => (share / 100) * this.width)
    const table = this.document.struct('Table')
    this.root.add(table)
    this.row(table, 'TH', head, widths)
    for (const cells of rows) {
      const height = this.heightOf(cells, widths, 'text')
      if (this.document.y + height > this.bottom) {
        this.document.addPage()
        this.row(table, 'TH', head, widths)
      }
      this.row(table, 'TD', cells, widths)
    }
    table.end()
    this.document.x = this.document.page.margins.left
    this.document.y += 4
  }

  /** Shares by what stands in the columns: long texts get more, none gets next to nothing. */
  private sharesOf(head: string[], rows: string[][]): number[] {
    const { document } = this
    document.font('text').fontSize(sizes.small)
    const wanted = head.map((title, column) => {
      const widest = rows.slice(0, 100).map((cells) => document.widthOfString(cells[column] ?? ''))
      const least = document.widthOfString(title) * 1.15
      return Math.max(least, Math.min(180, Math.max(0, ...widest))) + 2 * padPt + 2
    })
    const sum = wanted.reduce((total, width) => total + width, 0)
    return wanted.map((width) => (width / sum) * 100)
  }

  private heightOf(cells: string[], widths: number[], font: 'text' | 'bold'): number {
    this.document.font(font).fontSize(sizes.small)
    const heights = cells.map((cell, column) =>
      this.document.heightOfString(cell || ' ', { width: (widths[column] ?? 50) - 2 * padPt }),
    )
    return Math.max(...heights) + 2
  }

  private row(table: Element, type: 'TH' | 'TD', cells: string[], widths: number[]): void {
    const { document } = this
    const font = type === 'TH' ? 'bold' : 'text'
    const height = this.heightOf(cells, widths, font)
    const top = document.y
    const row = document.struct('TR')
    table.add(row)
    let left = document.page.margins.left
    for (const [column, cell] of cells.entries()) {
      const width = widths[column] ?? 50
      const at = left
      const element = document.struct(type, {}, () => {
        document.font(font).fontSize(sizes.small).fillColor('black')
        document.text(cell || ' ', at + padPt, top, { width: width - 2 * padPt })
      })
      row.add(element)
      element.end()
      left += width
    }
    row.end()
    this.rule(top + height, left, type === 'TH' ? 0.8 : 0.25)
    document.x = document.page.margins.left
    document.y = top + height + 1.5
  }

  /** A line below a row, which is there for the eye alone. */
  private rule(y: number, right: number, widthPt: number): void {
    const { document } = this
    document.markContent('Artifact', { type: 'Layout' })
    document.save().lineWidth(widthPt).moveTo(document.page.margins.left, y).lineTo(right, y)
    document.stroke('#555555').restore()
    document.endMarkedContent()
  }

  /** A picture with words for those who do not see it; `draw` gets its upper left corner. */
  figure(alt: string, sidePt: number, draw: (x: number, y: number) => void): void {
    const { document } = this
    this.makeRoom(sidePt)
    const [x, y] = [document.page.margins.left, document.y]
    const element = document.struct('Figure', { alt }, () => draw(x, y))
    this.root.add(element)
    element.end()
    document.x = x
    document.y = y + sidePt + 4
  }

  /** The same words and the page's number at the foot of every page. */
  footers(text: string): void {
    const { document } = this
    const { start, count } = document.bufferedPageRange()
    for (let nr = start; nr < start + count; nr += 1) {
      document.switchToPage(nr)
      const { margins, height } = document.page
      const bottom = margins.bottom
      // Text below the margin would begin a page of its own.
      margins.bottom = 0
      document.markContent('Artifact', { type: 'Pagination' })
      document.font('text').fontSize(sizes.small).fillColor('black')
      const words = `${text} · page ${nr + 1} of ${count}`
      document.text(words, margins.left, height - bottom - 6, { lineBreak: false })
      document.endMarkedContent()
      margins.bottom = bottom
    }
  }

  end(): void {
    this.root.end()
    this.document.end()
  }
}
