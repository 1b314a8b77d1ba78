// The journal proof behind a print: read back off the paper, and in nobody's way.
import { generateKeyPairSync, sign } from 'node:crypto'
import { writeFile, mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { describe, expect, test } from 'vitest'
import { readEvidence } from '../../api/journal/held.ts'
import { checkpointText } from '../../api/journal/checkpoint.ts'
import { noteKey, noteOf, openNote, signersOf } from '../../api/journal/note.ts'
import { BUILT_IN_FORMS } from '../../api/labels/built-in-forms.ts'
import type { LabelForm } from '../../api/labels/forms.ts'
import { PROOF_TITLE } from '../../api/labels/layout-proof.ts'
import { previewLabels, renderLabels } from '../../api/labels/render.ts'
import type { LabelRequestInput } from '../../api/labels/request.ts'
import { readProofText } from '../../api/trade/proof-text.ts'
import { parseTagInput } from '../../api/trade/tag-code.ts'
import { kindOfText } from '../../scanner/camera/read-text.ts'
import { requireTool } from '../tools.ts'
import { EXAMPLE_TIME, exampleFieldTag, exampleLeavingLabel } from './examples.ts'
import { askTool, rasterise, readWithZbar, readWithZxing, thickened } from './read-labels.ts'

const { privateKey, publicKey } = generateKeyPairSync('ed25519')
const name = 'vines.example/journal'
const key = noteKey(name, publicKey.export({ format: 'der', type: 'spki' }).subarray(-32))
const root = Buffer.from('5QW8gL3rTnZx0OIl1aVb7c+D/eFhJkMpSuYw2469QqA=', 'base64')
const text = checkpointText({ origin: name, size: 1_204_377, root })
const note = noteOf(text, [
  { name, keyHash: key.keyHash, signature: sign(null, Buffer.from(text), privateKey) },
])
const journalProof = { note, signedAt: new Date('2027-02-03T13:05:20Z') }

type Dpi = 203 | 300 | 600

function ask(form: LabelForm | undefined, count: number, over: Partial<LabelRequestInput> = {}) {
  if (form === undefined) throw new Error('there is no such form')
  const isLarge = Math.min(form.labelWidthMm, form.labelHeightMm) >= 60
  const labels = Array.from({ length: count }, (_, number) =>
    isLarge ? exampleLeavingLabel(number) : exampleFieldTag(number, { lines: [] }),
  )
  return { form, labels, preparedAt: EXAMPLE_TIME, journalProof, ...over }
}

function roll(labelWidthMm: number, labelHeightMm: number): LabelForm {
  return { shape: 'roll', name: 'Own', labelWidthMm, labelHeightMm, insetMm: 1 }
}

const rolls: [string, LabelForm][] = [
  ...Object.entries(BUILT_IN_FORMS).filter(([, { shape }]) => shape === 'roll'),
  ['an upright roll of 25 × 110', roll(25, 110)],
]
const printers = rolls.flatMap(([form, shape]) =>
  ([203, 300, 600] as const).map((dpi): [string, Dpi, LabelForm] => [form, dpi, shape]),
)

// A finer printer has more dots to a module, so that half of one matters less.
const coarse = printers.filter(([form, dpi]) => dpi < 600 && !form.includes('100x'))

/** The last page of a print at so many dots. */
async function lastPage(request: LabelRequestInput, dpi: number): Promise<Buffer> {
  const pictures = await rasterise(await renderLabels(request), dpi)
  return pictures.at(-1) ?? Buffer.alloc(0)
}

describe('on a roll', () => {
  test.for(printers)(
    '%s at %i dpi, both decoders read the whole note',
    async ([, dpi, form], c) => {
      requireTool(c, 'pdftoppm', 'zbarimg')
      const picture = await lastPage(ask(form, 2, { printerDpi: dpi }), dpi)
      expect(`${readWithZbar(picture).join('\n')}\n`).toBe(withEmptyLine(note))
      const read = await readWithZxing(picture)
      expect(read.map((one) => one.text)).toEqual([note])
    },
  )

  test.for(coarse)('%s at %i dpi, a print half a dot too dark is read', async (given, c) => {
    requireTool(c, 'pdftoppm')
    const [, dpi, form] = given
    const picture = thickened(await lastPage(ask(form, 1, { printerDpi: dpi }), dpi * 2), 1)
    const read = await readWithZxing(picture)
    expect(read.map((one) => one.text)).toEqual([note])
  })

  test('what was read is taken by verify as a file, with its signature', async (context) => {
    requireTool(context, 'pdftoppm')
    const picture = await lastPage(ask(BUILT_IN_FORMS['roll-50x25'], 1), 203)
    const [read] = await readWithZxing(picture)
    const folder = await mkdtemp(path.join(tmpdir(), 'canemark-proof-'))
    try {
      const file = path.join(folder, 'photographed.txt')
      await writeFile(file, `${read?.text.replaceAll('\n', '\r\n') ?? ''}\r\n`)
      const { held } = await readEvidence([file])
      expect(held[0]?.checkpoint).toMatchObject({ size: 1_204_377, root })
    } finally {
      await rm(folder, { recursive: true })
    }
    expect(signersOf(openNote(read?.text ?? ''), [key])).toEqual([key])
  })

  test.for(rolls)('%s: it comes last, and no label moves or is counted more', async ([, form]) => {
    const request = ask(form, 3)
    const { journalProof: placed, pageCount, ...layout } = await previewLabels(request)
    const without = await previewLabels({ ...request, journalProof: null })
    expect(layout.labels).toEqual(without.labels)
    expect(pageCount).toBe(without.pageCount + 1)
    expect(placed).toMatchObject({ page: 3, xMm: 0, yMm: 0 })
    expect(without.journalProof).toBeNull()
  })

  test.for(rolls)('%s: its words name key, size and root', async (on, c) => {
    requireTool(c, 'pdftotext')
    const pdf = await renderLabels(ask(on[1], 1))
    const all = await askTool(pdf, 'pdftotext', '-f', '2', '-raw', 'PDF', '-')
    const words = all.replace(/\s+/g, ' ')
    expect(words).toContain(PROOF_TITLE)
    expect(words).toContain(name)
    expect(words).toContain(`1204377 entries, key ${key.keyHash.toString('hex')}`)
    expect(words).toContain('signed 2027-02-03 13:05 UTC')
    expect(words).toContain((root.toString('base64').match(/.{4}/g) ?? []).join(' '))
  })

  test('without room for the symbol there are words alone, or none and a reason', async () => {
    const narrow = await previewLabels(ask(roll(40, 20), 1))
    expect(narrow.journalProof?.symbols).toEqual([])
    expect(narrow.journalProof?.texts[0]?.lines.length).toBeGreaterThan(3)
    const tiny = await previewLabels(ask(roll(30, 15), 1, { acceptIncomplete: true }))
    expect(tiny).toMatchObject({ journalProof: null, pageCount: 1 })
    expect(tiny.journalProofProblem).toMatch(/too small for the journal proof/)
  })

  test('words stay inside the label, clear of the symbol and its white border', async () => {
    for (const [, form] of rolls) {
      const { journalProof: placed } = await previewLabels(ask(form, 1))
      const [symbol] = placed?.symbols ?? []
      const [block] = placed?.texts ?? []
      if (placed === null || symbol === undefined || block === undefined) throw new Error('none')
      const quietMm = symbol.quietModules * symbol.moduleMm
      const clearOf = placed.turned
        ? symbol.yMm - quietMm - (block.yMm + block.heightMm)
        : block.xMm - (symbol.xMm + symbol.sideMm + quietMm)
      expect(clearOf).toBeGreaterThanOrEqual(-1e-6)
      for (const at of [block, { ...symbol, widthMm: symbol.sideMm, heightMm: symbol.sideMm }]) {
        expect(at.xMm).toBeGreaterThanOrEqual(0)
        expect(at.yMm).toBeGreaterThanOrEqual(0)
        expect(at.xMm + at.widthMm).toBeLessThanOrEqual(form.labelWidthMm)
        expect(at.yMm + at.heightMm).toBeLessThanOrEqual(form.labelHeightMm)
      }
    }
  })
})

describe('on a sheet', () => {
  const sheet = BUILT_IN_FORMS['sheet-a4-2x4']

  test('it takes the next free label and begins no sheet of its own', async (context) => {
    const request = ask(sheet, 3, { firstSlot: 2 })
    const { journalProof: placed, pageCount } = await previewLabels(request)
    expect(placed).toMatchObject({ page: 0, xMm: 105, yMm: expect.closeTo(0.5 + 2 * 74, 3) })
    expect(pageCount).toBe(1)
    const full = await previewLabels(ask(sheet, 6, { firstSlot: 2 }))
    expect(full).toMatchObject({ journalProof: null, pageCount: 1 })
    expect(full.journalProofProblem).toMatch(/no free label/)
    requireTool(context, 'pdftoppm')
    const read = await readWithZxing(await lastPage(request, 300))
    expect(read.map((one) => one.text)).toContain(note)
    expect(read).toHaveLength(4)
  })
})

describe('its text', () => {
  test('is no tag to any reader, and is known for what it is, run together too', () => {
    expect(parseTagInput(note).ok).toBe(false)
    expect(kindOfText(note)).toBe('foreign')
    expect(readProofText(note)).toEqual({ origin: name, size: 1_204_377 })
    expect(readProofText(note.trimEnd().replaceAll('\n', '\r\n'))).toMatchObject({ origin: name })
    const unknown = { origin: null, size: null }
    expect(readProofText(note.replaceAll('\n', ''))).toEqual(unknown)
    expect(readProofText(note.replaceAll('\n', ' ').replace('—', '-'))).toEqual(unknown)
    const others = [
      '',
      '0M28Q8Q83HY',
      'https://vines.example/1',
      text,
      note.slice(0, -9),
      'A\n3\nB',
    ]
    for (const other of others) expect(readProofText(other), other).toBeNull()
  })
})

/** The reader drops empty lines of what zbar prints; the note has one. */
function withEmptyLine(of: string): string {
  return of.replace('\n\n', '\n')
}
