// Holds a placed label to its promise: boxes inside the label, and no two of them overlapping.
import { expect } from 'vitest'
import type { TextMeasure } from '../../api/labels/fonts.ts'
import type { PlacedLabel, Rectangle, SymbolCopy } from '../../api/labels/layout-types.ts'

/** Symbols with their quiet zone, texts and frames, inside the label less its blank strip. */
export function expectApart(label: PlacedLabel, insetMm: number, measure: TextMeasure): void {
  const named: [string, Rectangle][] = [
    ...label.symbols.map((copy, at): [string, Rectangle] => [`symbol ${at}`, quietBox(copy)]),
    ...label.texts
      .filter((block) => block.role !== 'passport' && block.role !== 'flag')
      .map((block): [string, Rectangle] => [block.role, block]),
    ...label.frames
      .filter((frame) => frame.role === 'passport')
      .map((frame): [string, Rectangle] => ['passport frame', frame]),
  ]
  expect(label.symbols.length).toBeGreaterThan(0)
  for (const [at, [name, box]] of named.entries()) {
    expectInside(name, box, {
      xMm: insetMm,
      yMm: insetMm,
      widthMm: label.widthMm - 2 * insetMm,
      heightMm: label.heightMm - 2 * insetMm,
    })
    for (const [other, otherBox] of named.slice(at + 1)) expectClear(name, box, other, otherBox)
  }
  const frame = label.frames.find((one) => one.role === 'passport')
  const inner = [
    ...label.frames.filter((one) => one.role === 'flag').map((one) => ['flag', one] as const),
    ...label.texts.filter((one) => one.role === 'passport').map((one) => ['text', one] as const),
  ]
  for (const [at, [name, box]] of inner.entries()) {
    expectInside(`passport ${name}`, box, frame ?? { xMm: 0, yMm: 0, widthMm: 0, heightMm: 0 })
    for (const [other, otherBox] of inner.slice(at + 1)) expectClear(name, box, other, otherBox)
  }
  for (const block of label.texts) expectLinesInside(block, label.turned, measure)
}

function expectLinesInside(
  block: PlacedLabel['texts'][number],
  turned: boolean,
  measure: TextMeasure,
): void {
  const alongMm = turned ? block.heightMm : block.widthMm
  const acrossMm = turned ? block.widthMm : block.heightMm
  for (const line of block.lines) {
    const endMm = line.xMm + measure.widthMm(line.text, line.font, line.sizePt)
    expect(line.xMm, line.text).toBeGreaterThanOrEqual(-1e-6)
    expect(endMm, line.text).toBeLessThanOrEqual(alongMm + 1e-6)
    expect(line.baselineMm, line.text).toBeLessThanOrEqual(acrossMm + 1e-6)
  }
}

function quietBox(copy: SymbolCopy): Rectangle {
  expect(copy.quietModules).toBeGreaterThanOrEqual(1)
  const quietMm = copy.quietModules * copy.moduleMm
  const sideMm = copy.sideMm + 2 * quietMm
  return { xMm: copy.xMm - quietMm, yMm: copy.yMm - quietMm, widthMm: sideMm, heightMm: sideMm }
}

function expectInside(name: string, box: Rectangle, outer: Rectangle): void {
  const message = `${name} ${JSON.stringify(box)} in ${JSON.stringify(outer)}`
  const inside =
    box.xMm >= outer.xMm - 1e-6 &&
    box.yMm >= outer.yMm - 1e-6 &&
    box.xMm + box.widthMm <= outer.xMm + outer.widthMm + 1e-6 &&
    box.yMm + box.heightMm <= outer.yMm + outer.heightMm + 1e-6
  expect(inside, message).toBe(true)
}

function expectClear(name: string, box: Rectangle, other: string, otherBox: Rectangle): void {
  const clear =
    box.xMm + box.widthMm <= otherBox.xMm + 1e-6 ||
    otherBox.xMm + otherBox.widthMm <= box.xMm + 1e-6 ||
    box.yMm + box.heightMm <= otherBox.yMm + 1e-6 ||
    otherBox.yMm + otherBox.heightMm <= box.yMm + 1e-6
  expect(clear, `${name} and ${other} overlap`).toBe(true)
}
