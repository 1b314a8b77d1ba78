// Warnings about sizes on one label: modules, printer dots and letters that are small.
import { CODE_READABLE_PT } from './fit-code.ts'
import type { LabelWarning, PlacedLabel } from './layout-types.ts'
import type { Label } from './request.ts'
import {
  FIELD_MODULE_MINIMUM_MM,
  HAND_MODULE_MINIMUM_MM,
  MODULE_DOTS_MINIMUM,
  dotsPerModule,
  type PrinterDpi,
} from './symbol.ts'

/** Below this size, in points, many people need a visual aid. Common practice, no source. */
export const TEXT_READABLE_PT = 6

/** The warnings of one placed label, by its kind and the printer's resolution. */
export function labelWarnings(
  label: Label,
  placed: PlacedLabel,
  printerDpi: PrinterDpi,
): Omit<LabelWarning, 'labelIndex'>[] {
  const warnings: Omit<LabelWarning, 'labelIndex'>[] = []
  const moduleMm = placed.symbols[0]?.moduleMm ?? 0
  const field = label.kind === 'field tag'
  const minimumMm = field ? FIELD_MODULE_MINIMUM_MM : HAND_MODULE_MINIMUM_MM
  const size = `A module of the symbol is ${moduleMm.toFixed(2)} mm`
  if (moduleMm < minimumMm - 1e-9) {
    warnings.push({
      code: 'module_small',
      message:
        `${size}, ${dots(moduleMm, 203)} printer dots at 203 dpi and ${dots(moduleMm, 300)} at ` +
        `300 dpi. ${field ? 'Outdoors' : 'In the hand'} at least ${minimumMm} mm reads well ` +
        '(rule of thumb from memory, no source). Take a larger label.',
    })
  }
  if (dotsPerModule(moduleMm, printerDpi) < MODULE_DOTS_MINIMUM - 1e-9) {
    warnings.push({
      code: 'few_dots',
      message:
        `${size}, only ${dots(moduleMm, printerDpi)} dots of a ${printerDpi} dpi printer; ` +
        `${MODULE_DOTS_MINIMUM} or more print sharp (rule of thumb from memory, no source). ` +
        'Take a larger label or a finer printer.',
    })
  }
  const codePt = sizesOf(placed, 'code')
  if (field && Math.max(0, ...codePt) < CODE_READABLE_PT) {
    warnings.push({
      code: 'code_small',
      message:
        `The code is printed at ${Math.max(0, ...codePt)} pt; ${CODE_READABLE_PT} pt or more ` +
        'can be read aloud at arm’s length. Take a larger label or fewer lines.',
    })
  }
  const smallestPt = Math.min(...['lines', 'particulars', 'passport'].flatMap(sizesIn(placed)))
  if (smallestPt < TEXT_READABLE_PT) {
    warnings.push({
      code: 'text_small',
      message:
        `Some text is printed at ${smallestPt} pt. Below ${TEXT_READABLE_PT} pt many people ` +
        'need a glass to read it; labels must be legible without one. Take a larger label.',
    })
  }
  return warnings
}

function sizesIn(placed: PlacedLabel) {
  return (role: string) => sizesOf(placed, role)
}

function sizesOf(placed: PlacedLabel, role: string): number[] {
  return placed.texts
    .filter((block) => block.role === role)
    .flatMap((block) => block.lines.map((line) => line.sizePt))
}

function dots(moduleMm: number, dpi: number): string {
  return String(Math.round(dotsPerModule(moduleMm, dpi) * 10) / 10)
}
