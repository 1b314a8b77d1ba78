// Paints the symbols of a layout into a picture without any PDF, for machines with Node alone.
import { PNG } from 'pngjs'
import type { LabelLayout } from '../../api/labels/layout-types.ts'

/** One page of a layout as a PNG at a resolution: symbols only, black on white. */
export function paintSymbols(layout: LabelLayout, page: number, dpi: number): Buffer {
  const dots = (mm: number) => Math.round((mm * dpi) / 25.4)
  const [width, height] = [dots(layout.pageWidthMm), dots(layout.pageHeightMm)]
  const png = new PNG({ width, height })
  png.data.fill(255)
  for (const label of layout.labels.filter((one) => one.page === page)) {
    for (const { symbol, xMm, yMm, moduleMm } of label.symbols) {
      const [left, top, side] = [
        dots(label.xMm + xMm),
        dots(label.yMm + yMm),
        dots(moduleMm),
      ] as const
      for (const [at, dark] of symbol.modules.entries()) {
        if (dark === 0) continue
        const x = left + (at % symbol.sideModules) * side
        const y = top + Math.floor(at / symbol.sideModules) * side
        for (let row = y; row < y + side; row++) {
          for (let column = x; column < x + side; column++) {
            png.data.fill(0, (row * width + column) * 4, (row * width + column) * 4 + 3)
          }
        }
      }
    }
  }
  return PNG.sync.write(png)
}
