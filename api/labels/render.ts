// Draws labels as a PDF at exact size: symbols as vector squares, text in embedded fonts.
import { setImmediate as letOthersRun } from 'node:timers/promises'
import PDFDocument from 'pdfkit'
import { FONT_FILES, POINTS_PER_MM, openTextMeasure } from './fonts.ts'
import { addJournalProof, addLabel, beginLayout } from './layout.ts'
import type { Frame, LabelLayout, PlacedLabel, SymbolCopy, TextBlock } from './layout-types.ts'
import { labelRequestSchema, type LabelRequest, type LabelRequestInput } from './request.ts'

/** Labels done at a stretch before other requests get their turn. */
const SLICE_LABELS = 20
const DASH_MM = 0.6
/** Share of a printer dot that a dark run stays short of its edge. */
const DOT_SHARE_LEFT_WHITE = 0.02

/** Labels are not drawn because something on them would be cut or wrong. */
export class LabelsIncompleteError extends Error {
  override name = 'LabelsIncompleteError'

  constructor(readonly layout: LabelLayout) {
    const cut = layout.overflow.map(
      ({ labelIndex, text }) => `label ${labelIndex + 1}: no room for "${text}"`,
    )
    const unprintable = layout.unprintable.map(
      ({ labelIndex, text, characters }) =>
        `label ${labelIndex + 1}: the fonts cannot print ${characters.join(' ')} in "${text}"`,
    )
    super(
      `These labels would not show everything. ${[...cut, ...unprintable].join('; ')}. ` +
        'Take a larger label, shorten the text, or accept incomplete labels.',
    )
  }
}

/**
 * Works out a print without drawing it, to show what is missing, cut or small beforehand.
 * @throws ZodError when the request is malformed
 */
export async function previewLabels(request: LabelRequestInput): Promise<LabelLayout> {
  return await layoutInSlices(labelRequestSchema.parse(request))
}

/**
 * Draws a print as a PDF whose pages have the size of the sheet or label. The same request gives
 * the same bytes.
 * @throws ZodError when the request is malformed
 * @throws LabelsIncompleteError when text would be cut or unprintable, and this is not accepted
 */
export async function renderLabels(request: LabelRequestInput): Promise<Uint8Array> {
  const checked = labelRequestSchema.parse(request)
  const layout = await layoutInSlices(checked)
  const incomplete = layout.overflow.length > 0 || layout.unprintable.length > 0
  if (incomplete && !checked.acceptIncomplete) throw new LabelsIncompleteError(layout)
  return await drawLayout(layout, checked.preparedAt)
}

async function layoutInSlices(request: LabelRequest): Promise<LabelLayout> {
  const measure = openTextMeasure()
  const layout = beginLayout(request)
  for (const labelIndex of request.labels.keys()) {
    addLabel(layout, request, labelIndex, measure)
    if (labelIndex % SLICE_LABELS === SLICE_LABELS - 1) await letOthersRun()
  }
  addJournalProof(layout, request, measure)
  return layout
}

async function drawLayout(layout: LabelLayout, preparedAt: Date): Promise<Uint8Array> {
  const document = new PDFDocument({
    autoFirstPage: false,
    pdfVersion: '1.7',
    displayTitle: true,
    info: { Title: 'Labels', Creator: 'Canemark', Producer: 'Canemark', CreationDate: preparedAt },
  })
  printAtFullSize(document)
  for (const [name, file] of Object.entries(FONT_FILES)) document.registerFont(name, file)
  const chunks: Uint8Array[] = []
  const finished = new Promise<Uint8Array>((resolve, reject) => {
    document.on('data', (chunk: Uint8Array) => chunks.push(chunk))
    document.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))))
    document.on('error', reject)
  })
  const [widthMm, heightMm] = [layout.pageWidthMm, layout.pageHeightMm]
  const size: [number, number] = [widthMm * POINTS_PER_MM, heightMm * POINTS_PER_MM]
  let page = -1
  const proof = layout.journalProof === null ? [] : [layout.journalProof]
  for (const label of [...layout.labels, ...proof]) {
    if (page < label.page) document.addPage({ size, margin: 0 })
    page = label.page
    drawLabel(document, label)
    if (label.labelIndex % SLICE_LABELS === SLICE_LABELS - 1) await letOthersRun()
  }
  document.end()
  return await finished
}

function drawLabel(document: PDFKit.PDFDocument, label: PlacedLabel): void {
  document.save().translate(label.xMm * POINTS_PER_MM, label.yMm * POINTS_PER_MM)
  for (const frame of label.frames) drawFrame(document, frame)
  for (const copy of label.symbols) drawSymbol(document, copy)
  for (const block of label.texts) drawText(document, block, label.turned)
  document.restore()
}

/**
 * One path for all dark modules, as runs along rows and along columns. Each run is a hair smaller
 * than its modules, because a printer blackens every dot that a shape so much as touches; rows
 * and columns together leave no seam where two runs meet.
 */
function drawSymbol(document: PDFKit.PDFDocument, copy: SymbolCopy): void {
  const { sideModules, modules } = copy.symbol
  const modulePt = copy.moduleMm * POINTS_PER_MM
  const hair = DOT_SHARE_LEFT_WHITE / copy.moduleDots
  document
    .save()
    .translate(copy.xMm * POINTS_PER_MM, copy.yMm * POINTS_PER_MM)
    .scale(modulePt, modulePt)
  for (let track = 0; track < sideModules; track++) {
    const row = darkRuns(sideModules, (at) => modules[track * sideModules + at] === 1)
    for (const [from, length] of row) {
      document.rect(from + hair, track + hair, length - 2 * hair, 1 - 2 * hair)
    }
    const column = darkRuns(sideModules, (at) => modules[at * sideModules + track] === 1)
    for (const [from, length] of column.filter((run) => run[1] > 1)) {
      document.rect(track + hair, from + hair, 1 - 2 * hair, length - 2 * hair)
    }
  }
  document.fill('black').restore()
}

function darkRuns(sideModules: number, isDark: (at: number) => boolean): [number, number][] {
  const runs: [number, number][] = []
  let from = 0
  while (from < sideModules) {
    let to = from
    while (to < sideModules && isDark(to)) to++
    if (to > from) runs.push([from, to - from])
    from = to + 1
  }
  return runs
}

function drawFrame(document: PDFKit.PDFDocument, frame: Frame): void {
  const pt = (lengthMm: number) => lengthMm * POINTS_PER_MM
  document.save().lineWidth(pt(frame.strokeMm))
  if (frame.dashed) document.dash(pt(DASH_MM), {})
  // The stroke stays inside the frame's rectangle.
  const half = frame.strokeMm / 2
  const [widthMm, heightMm] = [frame.widthMm - frame.strokeMm, frame.heightMm - frame.strokeMm]
  document.rect(pt(frame.xMm + half), pt(frame.yMm + half), pt(widthMm), pt(heightMm))
  document.stroke('black').restore()
}

function drawText(document: PDFKit.PDFDocument, block: TextBlock, turned: boolean): void {
  document.save()
  if (turned) {
    document.translate(block.xMm * POINTS_PER_MM, (block.yMm + block.heightMm) * POINTS_PER_MM)
    document.rotate(-90)
  } else {
    document.translate(block.xMm * POINTS_PER_MM, block.yMm * POINTS_PER_MM)
  }
  document.fillColor('black')
  for (const line of block.lines) {
    document.font(line.font).fontSize(line.sizePt)
    document.text(line.text, line.xMm * POINTS_PER_MM, line.baselineMm * POINTS_PER_MM, {
      lineBreak: false,
      baseline: 'alphabetic',
    })
  }
  document.restore()
}

/** Asks the viewer not to scale the page to the paper: a label must come out in its own size. */
function printAtFullSize(document: PDFKit.PDFDocument): void {
  const { _root } = document as unknown as {
    _root: { data: { ViewerPreferences: { data: Record<string, unknown> } } }
  }
  _root.data.ViewerPreferences.data.PrintScaling = 'None'
}
