// Lays out a whole print: places every label on its page and gathers all that should be known.
import type { TextMeasure } from './fonts.ts'
import { labelSlot, pageSize, type LabelForm, type LabelSlot } from './forms.ts'
import { layoutFieldTag } from './layout-field.ts'
import { layoutLeavingLabel } from './layout-leaving.ts'
import { layoutJournalProof } from './layout-proof.ts'
import { labelWarnings } from './label-warnings.ts'
import type {
  LabelDraft,
  LabelLayout,
  PlacedLabel,
  Rectangle,
  SymbolCopy,
  Unprintable,
} from './layout-types.ts'
import { missingParticulars } from './particulars.ts'
import type { Label, LabelRequest } from './request.ts'
import { dotMm, type PrinterDpi } from './symbol.ts'

/**
 * Works out where everything of a print goes, in mm, without drawing it. Nothing is dropped in
 * silence: `overflow` has every text that was cut, `unprintable` every text with characters the
 * fonts lack, `missing` every particular that is not filled in, `warnings` what is small.
 * @param request checked by `labelRequestSchema`
 * @throws RangeError when a code or host is not one
 */
export function layoutLabels(request: LabelRequest, measure: TextMeasure): LabelLayout {
  const layout = beginLayout(request)
  for (const labelIndex of request.labels.keys()) addLabel(layout, request, labelIndex, measure)
  addJournalProof(layout, request, measure)
  return layout
}

/** A layout without labels yet, for a print that is laid out in slices. */
export function beginLayout(request: LabelRequest): LabelLayout {
  const { widthMm: pageWidthMm, heightMm: pageHeightMm } = pageSize(request.form)
  const none = { labels: [], warnings: [], overflow: [], unprintable: [], missing: [] }
  const noProof = { journalProof: null, journalProofProblem: null }
  return { pageWidthMm, pageHeightMm, pageCount: 0, ...noProof, ...none }
}

/** Lays out the label with this index, after those before it, and adds it to the layout. */
export function addLabel(
  layout: LabelLayout,
  request: LabelRequest,
  labelIndex: number,
  measure: TextMeasure,
): void {
  const label = request.labels[labelIndex]
  if (label === undefined) throw new RangeError(`there is no label ${labelIndex}`)
  const slot = labelSlot(request.form, request.firstSlot + labelIndex)
  const draft = draftLabel(label, request, measure)
  const turned = label.kind === 'field tag' && isUpright(request.form)
  const placed = placeDraft(draft, { labelIndex, slot, turned }, request)
  layout.labels.push(placed)
  layout.pageCount = slot.page + 1
  const warnings = [...draft.warnings, ...labelWarnings(label, placed, request.printerDpi)]
  layout.warnings.push(...warnings.map((warning) => ({ labelIndex, ...warning })))
  layout.overflow.push(...draft.overflow.map((text) => ({ labelIndex, text })))
  layout.unprintable.push(...findUnprintable(placed, measure))
  if (label.kind === 'leaving label') {
    const missing = missingParticulars(label)
    layout.missing.push(...missing.map((particular) => ({ labelIndex, ...particular })))
  }
}

function draftLabel(label: Label, request: LabelRequest, measure: TextMeasure): LabelDraft {
  const area = printArea(request.form)
  if (label.kind === 'leaving label') {
    return layoutLeavingLabel(label, area, request.printerDpi, measure)
  }
  return layoutFieldTag(label, lengthwise(area), request.printerDpi, measure)
}

/**
 * Adds the journal proof that was asked for behind the last label, so that no label moves: on a
 * roll it is one more label, to be torn off; on a sheet it takes the next free label of the last
 * sheet, and no sheet is begun for it.
 */
export function addJournalProof(
  layout: LabelLayout,
  request: LabelRequest,
  measure: TextMeasure,
): void {
  const { form, labels, journalProof, printerDpi } = request
  if (journalProof === null) return
  const labelIndex = labels.length
  const slot = labelSlot(form, request.firstSlot + labelIndex)
  if (form.shape === 'sheet' && slot.page >= layout.pageCount) {
    layout.journalProofProblem = 'The last sheet has no free label for the journal proof.'
    return
  }
  const draft = layoutJournalProof(journalProof, lengthwise(printArea(form)), printerDpi, measure)
  if (draft === null) {
    layout.journalProofProblem = 'A label of this form is too small for the journal proof.'
    return
  }
  const turned = isUpright(form)
  layout.journalProof = placeDraft(draft, { labelIndex, slot, turned }, request)
  layout.pageCount = slot.page + 1
}

function lengthwise({ widthMm, heightMm }: { widthMm: number; heightMm: number }) {
  return { lengthMm: Math.max(widthMm, heightMm), breadthMm: Math.min(widthMm, heightMm) }
}

function isUpright({ labelWidthMm, labelHeightMm }: LabelForm): boolean {
  return labelHeightMm > labelWidthMm
}

function printArea(form: LabelForm): { widthMm: number; heightMm: number } {
  return {
    widthMm: form.labelWidthMm - 2 * form.insetMm,
    heightMm: form.labelHeightMm - 2 * form.insetMm,
  }
}

/** What is `turned`, on a label higher than wide, was laid out along it and reads upwards. */
function placeDraft(
  draft: LabelDraft,
  { labelIndex, slot, turned }: { labelIndex: number; slot: LabelSlot; turned: boolean },
  request: LabelRequest,
): PlacedLabel {
  const { form, printerDpi } = request
  const place = <R extends Rectangle>(rectangle: R): R => {
    const { xMm, yMm, widthMm, heightMm } = rectangle
    const inLabel = turned
      ? {
          xMm: yMm,
          yMm: printArea(form).heightMm - xMm - widthMm,
          widthMm: heightMm,
          heightMm: widthMm,
        }
      : { xMm, yMm, widthMm, heightMm }
    return {
      ...rectangle,
      ...inLabel,
      xMm: inLabel.xMm + form.insetMm,
      yMm: inLabel.yMm + form.insetMm,
    }
  }
  const placeSymbol = (copy: SymbolCopy): SymbolCopy => {
    const square = { ...copy, widthMm: copy.sideMm, heightMm: copy.sideMm }
    const { xMm, yMm } = place(square)
    return {
      ...copy,
      xMm: onWholeDot(slot.xMm + xMm, printerDpi, 'after') - slot.xMm,
      yMm: onWholeDot(slot.yMm + yMm, printerDpi, turned ? 'before' : 'after') - slot.yMm,
    }
  }
  return {
    labelIndex,
    page: slot.page,
    xMm: slot.xMm,
    yMm: slot.yMm,
    widthMm: form.labelWidthMm,
    heightMm: form.labelHeightMm,
    turned,
    symbols: draft.symbols.map(placeSymbol),
    texts: draft.texts.map(place),
    frames: draft.frames.map(place),
  }
}

/**
 * Moves a place on the page to a whole printer dot. Drafts leave one dot of room to the right of
 * and below each symbol; when turned, the room to the right lies above.
 */
function onWholeDot(pageMm: number, printerDpi: PrinterDpi, direction: 'after' | 'before'): number {
  const dot = dotMm(printerDpi)
  const dots = pageMm / dot
  const whole = direction === 'before' ? Math.floor(dots + 1e-6) : Math.ceil(dots - 1e-6)
  return whole * dot
}

function findUnprintable(placed: PlacedLabel, measure: TextMeasure): Unprintable[] {
  const found: Unprintable[] = []
  for (const block of placed.texts) {
    for (const { text, font } of block.lines) {
      const characters = measure.unprintable(text, font)
      if (characters.length > 0) found.push({ labelIndex: placed.labelIndex, text, characters })
    }
  }
  return found
}
