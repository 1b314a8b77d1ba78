// Printed labels, read back by programs that are not ours.
import { describe, expect, test } from 'vitest'
import { BUILT_IN_FORMS } from '../../api/labels/built-in-forms.ts'
import type { LabelForm } from '../../api/labels/forms.ts'
import type { LabelLayout } from '../../api/labels/layout-types.ts'
import { LabelsIncompleteError, previewLabels, renderLabels } from '../../api/labels/render.ts'
import type { LabelRequestInput } from '../../api/labels/request.ts'
import { formatTagCode, tagCodeGroups } from '../../api/trade/tag-code.ts'
import { requireTool } from '../tools.ts'
import {
  EXAMPLE_HOST,
  EXAMPLE_LINES,
  EXAMPLE_TIME,
  exampleCode,
  exampleFieldTag,
  exampleLeavingLabel,
} from './examples.ts'
import { paintSymbols } from './paint-symbols.ts'
import { askTool, greyPixels, rasterise, readWithZbar, readWithZxing } from './read-labels.ts'

type Request = LabelRequestInput

/** Prints of every kind of form: labels, and the text that every symbol must hold. */
const prints: [string, Request][] = [
  ['a roll of unbound tags', ask('roll-100x25', unbound(6))],
  ['a roll of bundle tags', ask('roll-100x25', bundles(5))],
  ['a roll of small tags', ask('roll-50x25', [...unbound(2), ...bundles(2)])],
  ['a roll of long tags', ask('roll-200x25', bundles(2))],
  ['a full A4 sheet of tags', ask('sheet-a4-3x8', bundles(24))],
  ['a part-used Letter sheet, over to the next', ask('sheet-letter-3x8', bundles(5), 21)],
  ['a roll of leaving labels', ask('roll-100x70', leaving(3))],
  ['an A4 sheet of leaving labels', ask('sheet-a4-2x4', leaving(8))],
  ['upright tags on a roll', { ...ask('roll-100x25', bundles(3)), form: upright() }],
  ['tags at 300 dpi', { ...ask('roll-100x25', bundles(3)), printerDpi: 300 }],
  ['leaving labels at 300 dpi', { ...ask('roll-100x70', leaving(2)), printerDpi: 300 }],
  ['tags at 600 dpi', { ...ask('roll-100x25', bundles(2)), printerDpi: 600 }],
]

describe('printed labels', () => {
  test.for(prints)('%s: zxing reads every copy of every code', async ([, request], ctx) => {
    requireTool(ctx, 'pdftoppm')
    await expectReadable(request, 'zxing')
  })

  test.for(prints)('%s: zbar reads every copy of every code', async ([, request], ctx) => {
    requireTool(ctx, 'pdftoppm', 'zbarimg')
    await expectReadable(request, 'zbar')
  })

  test('symbols drawn from the layout alone are read, with planned version and level', async () => {
    for (const [, request] of prints) {
      const layout = await previewLabels(request)
      for (const page of pagesOf(layout)) {
        const read = await readWithZxing(paintSymbols(layout, page, request.printerDpi ?? 203))
        expect(read.map((one) => one.text).sort()).toEqual(payloads(layout, page))
        for (const { text, version, level } of read) {
          const planned = text.includes('/') ? { version: '3', level: 'Q' } : { version: '2' }
          expect({ text, version, level }).toMatchObject({ level: 'H', ...planned })
        }
      }
    }
  })

  test('modules end on whole dots of the printer: no grey inside a symbol', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    for (const printerDpi of [203, 300] as const) {
      const forms = ['roll-100x25', 'sheet-a4-3x8', 'roll-100x70'] as const
      for (const form of forms) {
        const labels = form === 'roll-100x70' ? leaving(2) : bundles(3)
        const request = { ...ask(form, labels), printerDpi }
        const layout = await previewLabels(request)
        const pictures = await rasterise(await renderLabels(request), printerDpi)
        expectSharp(layout, pictures, printerDpi)
      }
    }
  })

  test('no ink lies in a quiet zone or outside the boxes of the layout', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    for (const [, request] of prints) {
      const layout = await previewLabels(request)
      const pictures = await rasterise(await renderLabels(request), INK_DPI)
      for (const [page, picture] of pictures.entries()) expectInkInBoxes(layout, page, picture)
    }
  })
})

describe('the document', () => {
  test.for(Object.entries(BUILT_IN_FORMS))('%s: pages have its size', async ([, form], ctx) => {
    requireTool(ctx, 'pdfinfo')
    const pdf = await renderLabels({ form, labels: unbound(2), preparedAt: EXAMPLE_TIME })
    const size = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(await askTool(pdf, 'pdfinfo', 'PDF'))
    const sheet = form.shape === 'sheet'
    const widthMm = sheet ? form.pageWidthMm : form.labelWidthMm
    const heightMm = sheet ? form.pageHeightMm : form.labelHeightMm
    // pdfinfo prints points of 1/72 inch to six digits.
    expect((Number(size?.[1]) * 25.4) / 72).toBeCloseTo(widthMm, 2)
    expect((Number(size?.[2]) * 25.4) / 72).toBeCloseTo(heightMm, 2)
  })

  test('qpdf finds no fault, and the viewer is asked not to scale the page', async (ctx) => {
    requireTool(ctx, 'qpdf')
    for (const [, request] of prints) {
      const pdf = await renderLabels(request)
      expect(await askTool(pdf, 'qpdf', '--check', 'PDF')).toMatch(
        /No syntax or stream encoding errors found/,
      )
      expect(await askTool(pdf, 'qpdf', '--qdf', '--object-streams=disable', 'PDF', '-')).toMatch(
        /\/PrintScaling \/None/,
      )
    }
  })

  test('symbols are vectors, not pictures, and every font is embedded', async (ctx) => {
    requireTool(ctx, 'pdfimages', 'pdffonts')
    for (const [, request] of prints) {
      const pdf = await renderLabels(request)
      const images = (await askTool(pdf, 'pdfimages', '-list', 'PDF')).trim().split('\n')
      expect(images.slice(2)).toEqual([])
      const fonts = (await askTool(pdf, 'pdffonts', 'PDF')).trim().split('\n').slice(2)
      expect(fonts.length).toBeGreaterThan(0)
      for (const font of fonts) expect(font).toMatch(/DejaVu.* yes yes yes/)
    }
  })

  test('the same request gives the same bytes', async () => {
    const request = ask('roll-100x70', leaving(2))
    expect(await renderLabels(request)).toEqual(await renderLabels(request))
  })
})

describe('the words on a label', () => {
  test('a leaving label holds all its particulars, the passport and the statement', async (ctx) => {
    requireTool(ctx, 'pdftotext')
    const [label] = leaving(1)
    const text = await textOf(ask('roll-100x70', label === undefined ? [] : [label]))
    for (const words of [
      'EU standard',
      'Country of production: ES',
      'Certification or control body: Plant Health Service, ES',
      'Producer: Viveros Valdorena, Camino Alto 4; ES-17-0042',
      'Species: Vitis L.',
      'Material: grafted vines',
      'Category: certified',
      'Variety: Valdorena Blanca, clone 1143',
      'Rootstock variety: Roca 77, clone 12',
      'Lot: 26-014',
      'Pieces: 50',
      'Crop year: 2026',
      'Pasaporte fitosanitario / Plant Passport',
      'A. Vitis vinifera',
      'B. ES-17000042',
      'C. 26-014-3',
      'D. ES',
      'flag: printed by the authorised operator',
      'Prepared for, not issued by, the authority',
      ...tagCodeGroups(exampleCode(100)),
    ]) {
      expect(text).toContain(words)
    }
  })

  test('Latin, Cyrillic, Greek and Georgian names come back letter for letter', async (ctx) => {
    requireTool(ctx, 'pdftotext')
    const labels = bundles(EXAMPLE_LINES.length)
    const text = await textOf(ask('roll-100x70', labels))
    for (const lines of EXAMPLE_LINES) {
      for (const line of lines) expect(text).toContain(line)
    }
    for (const { code } of labels) {
      const shown = [formatTagCode(code), tagCodeGroups(code).join(' ')]
      expect(shown.some((one) => text.includes(one))).toBe(true)
    }
  })

  test('text that does not fit stops the print, naming the label and the text', async () => {
    const long = 'A variety name that is far too long for so small a tag '.repeat(3).trim()
    const request: Request = {
      form: { shape: 'roll', name: 'Tiny', labelWidthMm: 30, labelHeightMm: 15 },
      labels: [exampleFieldTag(0, { lines: [] }), exampleFieldTag(1, { lines: [long, 'b', 'c'] })],
      preparedAt: EXAMPLE_TIME,
    }
    await expect(renderLabels(request)).rejects.toThrow(LabelsIncompleteError)
    await expect(renderLabels(request)).rejects.toThrow(`label 2: no room for "${long}"`)
    const overflow = (await previewLabels(request)).overflow.map((one) => one.labelIndex)
    expect(new Set(overflow)).toEqual(new Set([1]))
    const accepted = await renderLabels({ ...request, acceptIncomplete: true })
    expect(accepted.length).toBeGreaterThan(1000)
  })

  test('a cut text ends with an ellipsis on the label', async (ctx) => {
    requireTool(ctx, 'pdftotext')
    const lines = ['word '.repeat(39).trim(), 'word '.repeat(39).trim()]
    const text = await textOf({
      form: { shape: 'roll', name: 'Small', labelWidthMm: 40, labelHeightMm: 20 },
      labels: [exampleFieldTag(0, { lines })],
      preparedAt: EXAMPLE_TIME,
      acceptIncomplete: true,
    })
    expect(text).toMatch(/word(?: wo?r?d?)?…/)
  })
})

/** Ten pixels to the millimetre. */
const INK_DPI = 254
/** Letters may lean out of their box by this much, in mm, but never into a quiet zone. */
const LETTER_OVERHANG_MM = 0.4

function ask(formId: string, labels: Request['labels'], firstSlot = 0): Request {
  const form = BUILT_IN_FORMS[formId]
  if (form === undefined) throw new Error(`there is no form ${formId}`)
  return { form, labels, firstSlot, preparedAt: EXAMPLE_TIME }
}

function upright(): LabelForm {
  const size = { labelWidthMm: 25, labelHeightMm: 110, insetMm: 1 }
  return { shape: 'roll', name: 'Upright', ...size }
}

function unbound(count: number) {
  return Array.from({ length: count }, (_, number) => exampleFieldTag(number, { lines: [] }))
}

function bundles(count: number) {
  return Array.from({ length: count }, (_, number) =>
    exampleFieldTag(50 + number, { printing: 1 + (number % 2) }),
  )
}

function leaving(count: number) {
  return Array.from({ length: count }, (_, number) => exampleLeavingLabel(100 + number))
}

function pagesOf(layout: LabelLayout): number[] {
  return Array.from({ length: layout.pageCount }, (_, page) => page)
}

/** What every symbol on a page must hold, copy for copy, worked out from the request's side. */
function payloads(layout: LabelLayout, page: number): string[] {
  return layout.labels
    .filter((label) => label.page === page)
    .flatMap((label) => label.symbols.map((copy) => copy.symbol.payload))
    .sort()
}

/** At the printer's own resolution, and at the other common one, as a screen or copier would. */
async function expectReadable(request: Request, decoder: 'zxing' | 'zbar'): Promise<void> {
  const layout = await previewLabels(request)
  const wanted = request.labels.map((label) =>
    label.kind === 'field tag'
      ? label.code
      : `HTTPS://${EXAMPLE_HOST.toUpperCase()}/T/${label.code}`,
  )
  const planned = pagesOf(layout).flatMap((page) => payloads(layout, page))
  expect([...new Set(planned)].sort()).toEqual([...wanted].sort())
  for (const dpi of new Set([request.printerDpi ?? 203, 300])) {
    const pictures = await rasterise(await renderLabels(request), dpi)
    expect(pictures).toHaveLength(layout.pageCount)
    for (const [page, picture] of pictures.entries()) {
      const read =
        decoder === 'zbar'
          ? readWithZbar(picture)
          : (await readWithZxing(picture)).map((one) => one.text)
      expect(read.sort(), `page ${page} at ${dpi} dpi`).toEqual(payloads(layout, page))
    }
  }
}

function expectSharp(layout: LabelLayout, pictures: Buffer[], dpi: number): void {
  let seen = 0
  for (const [page, picture] of pictures.entries()) {
    const { width, grey } = greyPixels(picture)
    for (const label of layout.labels.filter((one) => one.page === page)) {
      for (const copy of label.symbols) {
        const left = Math.round(((label.xMm + copy.xMm) * dpi) / 25.4)
        const top = Math.round(((label.yMm + copy.yMm) * dpi) / 25.4)
        const side = Math.round((copy.sideMm * dpi) / 25.4)
        for (let y = top; y < top + side; y++) {
          for (let x = left; x < left + side; x++) {
            const value = grey[y * width + x] ?? 128
            if (value > 8 && value < 247) expect.fail(`grey ${value} at ${x}, ${y}`)
            seen++
          }
        }
      }
    }
  }
  expect(seen).toBeGreaterThan(10_000)
}

function expectInkInBoxes(layout: LabelLayout, page: number, picture: Buffer): void {
  const { width, height, grey } = greyPixels(picture)
  const allowed = new Uint8Array(width * height)
  const paint = (xMm: number, yMm: number, wMm: number, hMm: number, value: number) => {
    const from = (mm: number) => Math.max(0, Math.floor((mm * INK_DPI) / 25.4 + 1e-6))
    const to = (mm: number, most: number) => Math.min(most, Math.ceil((mm * INK_DPI) / 25.4 - 1e-6))
    for (let y = from(yMm); y < to(yMm + hMm, height); y++) {
      allowed.fill(value, y * width + from(xMm), y * width + to(xMm + wMm, width))
    }
  }
  const labels = layout.labels.filter((label) => label.page === page)
  for (const label of labels) {
    const over = LETTER_OVERHANG_MM
    for (const { xMm, yMm, widthMm, heightMm } of [...label.texts, ...label.frames]) {
      const [x, y] = [label.xMm + xMm - over, label.yMm + yMm - over]
      paint(x, y, widthMm + 2 * over, heightMm + 2 * over, 1)
    }
    for (const { xMm, yMm, sideMm, moduleMm, quietModules } of label.symbols) {
      // A pixel of drawing tolerance, so that the edge of a letter's box may touch the zone.
      const quietMm = quietModules * moduleMm - 25.4 / INK_DPI
      const [x, y] = [label.xMm + xMm, label.yMm + yMm]
      paint(x - quietMm, y - quietMm, sideMm + 2 * quietMm, sideMm + 2 * quietMm, 0)
      paint(x, y, sideMm, sideMm, 1)
    }
  }
  let ink = 0
  for (const [at, value] of grey.entries()) {
    if (value > 200) continue
    ink++
    if (allowed[at] === 0) expect.fail(`ink at ${at % width}, ${Math.floor(at / width)}`)
  }
  expect(ink).toBeGreaterThan(1000)
}

async function textOf(request: Request): Promise<string> {
  const text = await askTool(await renderLabels(request), 'pdftotext', '-raw', 'PDF', '-')
  return text.replace(/\s+/gu, ' ')
}
