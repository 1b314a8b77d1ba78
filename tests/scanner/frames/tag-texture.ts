// Paints a field tag or a leaving label as the printer would, a pixel a printer dot.
import { create } from 'qrcode'
import { BUILT_IN_FORMS } from '../../../api/labels/built-in-forms.ts'
import { openTextMeasure } from '../../../api/labels/fonts.ts'
import { layoutLabels } from '../../../api/labels/layout.ts'
import type { PlacedLabel } from '../../../api/labels/layout-types.ts'
import { labelRequestSchema } from '../../../api/labels/request.ts'
import type { LabelRequestInput } from '../../../api/labels/request.ts'
import { newPicture } from '../../../scanner/camera/picture.ts'
import type { Picture } from '../../../scanner/camera/picture.ts'

/** 203 dpi. */
export const TEXELS_PER_MM = 203 / 25.4

/** A printed tag seen flat and near: what is on it, and where it is torn away. */
export interface TagTexture {
  readonly code: string
  /** What the symbols hold. */
  readonly payload: string
  readonly ink: Picture
  /** 255 where the tag is there, 0 where it is torn off. */
  readonly there: Picture
  readonly widthMm: number
  readonly heightMm: number
  /** Side of a module, in mm. */
  readonly moduleMm: number
  /** Middles and sides of the symbols, in mm from the tag's upper left. */
  /** What the camera is pointed at: the middle of the tag, or of its only symbol. */
  readonly middle: { xMm: number; yMm: number }
  readonly symbols: readonly { xMm: number; yMm: number; sideMm: number }[]
}

const measure = openTextMeasure()

/** The request that prints one tag of a built-in form, for the texture and for the PDF alike. */
export function tagRequest(
  label: LabelRequestInput['labels'][number],
  formId: string,
): LabelRequestInput {
  const form = BUILT_IN_FORMS[formId]
  if (form === undefined) throw new RangeError(`no form ${formId}`)
  return { form, labels: [label], preparedAt: new Date('2026-02-03T04:05:06Z') }
}

/** The tag by our own layout; words become strokes of their size, symbols are exact. */
export function paintTag(request: LabelRequestInput, random: () => number): TagTexture {
  const label = layoutLabels(labelRequestSchema.parse(request), measure).labels[0]
  const first = label?.symbols[0]
  if (label === undefined || first === undefined) throw new RangeError('nothing to paint')
  const ink = newPicture(dots(label.widthMm), dots(label.heightMm))
  ink.grey.fill(255)
  paintSymbols(ink, label)
  paintWords(ink, label, random)
  const there = newPicture(ink.width, ink.height)
  there.grey.fill(255)
  const symbols = label.symbols.map(({ xMm, yMm, sideMm }) => ({
    xMm: xMm + sideMm / 2,
    yMm: yMm + sideMm / 2,
    sideMm,
  }))
  const [only, second] = symbols
  const tagMiddle = { xMm: label.widthMm / 2, yMm: label.heightMm / 2 }
  return {
    code: request.labels[0]?.code ?? '',
    payload: first.symbol.payload,
    ...{ ink, there },
    widthMm: label.widthMm,
    heightMm: label.heightMm,
    moduleMm: first.moduleMm,
    middle: only !== undefined && second === undefined ? only : tagMiddle,
    symbols,
  }
}

/** A symbol of any text on white, as anybody prints one: for what is no tag of ours. */
export function paintForeign(payload: string): TagTexture {
  const { modules } = create(payload, { errorCorrectionLevel: 'M' })
  const moduleDots = 5
  const quiet = 4
  const side = (modules.size + 2 * quiet) * moduleDots
  const ink = newPicture(side, side)
  ink.grey.fill(255)
  for (const [at, dark] of [...modules.data].entries()) {
    if (dark === 0) continue
    const left = (quiet + (at % modules.size)) * moduleDots
    const top = (quiet + Math.floor(at / modules.size)) * moduleDots
    fill(ink, left, top, moduleDots, moduleDots, 0)
  }
  const there = newPicture(side, side)
  there.grey.fill(255)
  const sideMm = side / TEXELS_PER_MM
  const middle = { xMm: sideMm / 2, yMm: sideMm / 2 }
  return {
    ...{ code: '', payload, ink, there, middle },
    widthMm: sideMm,
    heightMm: sideMm,
    moduleMm: moduleDots / TEXELS_PER_MM,
    symbols: [{ ...middle, sideMm: (modules.size * moduleDots) / TEXELS_PER_MM }],
  }
}

function dots(mm: number): number {
  return Math.round(mm * TEXELS_PER_MM)
}

function paintSymbols(ink: Picture, label: PlacedLabel): void {
  for (const { symbol, xMm, yMm, moduleDots } of label.symbols) {
    for (const [at, dark] of symbol.modules.entries()) {
      if (dark === 0) continue
      const left = dots(xMm) + (at % symbol.sideModules) * moduleDots
      const top = dots(yMm) + Math.floor(at / symbol.sideModules) * moduleDots
      fill(ink, left, top, moduleDots, moduleDots, 0)
    }
  }
}

/** Upright strokes with gaps, as letters look to a decoder that hunts for dark and light runs. */
function paintWords(ink: Picture, label: PlacedLabel, random: () => number): void {
  for (const block of label.texts) {
    for (const line of block.lines) {
      const high = dots(line.sizePt * 0.25)
      let x = dots(block.xMm + line.xMm)
      const top = dots(block.yMm + line.baselineMm) - high
      const end = dots(block.xMm + block.widthMm)
      for (let nr = 0; nr < line.text.length * 2 && x < end; nr += 1) {
        const wide = 1 + Math.floor(random() * high * 0.2)
        fill(ink, x, top, Math.min(wide, end - x), high, 0)
        x += wide + 1 + Math.floor(random() * high * 0.25)
      }
    }
  }
}

/** Fills a rectangle, clipped to the picture. */
export function fill(
  { width, height, grey }: Picture,
  left: number,
  top: number,
  wide: number,
  high: number,
  value: number,
): void {
  const from = Math.max(0, left)
  const to = Math.min(width, left + wide)
  for (let y = Math.max(0, top); y < Math.min(height, top + high); y += 1) {
    if (from < to) grey.fill(value, y * width + from, y * width + to)
  }
}
