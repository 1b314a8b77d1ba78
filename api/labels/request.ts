// What can be asked of the label printer: the shapes of field tags and leaving labels.
import { z } from 'zod'
import { PRINT_LIMIT } from '#wire/kinds/tags.ts'
import { isTagCode, isTagHost } from '#trade/tag-code.ts'
import { labelFormSchema, labelsPerPage } from './forms.ts'
import { PRINTER_DPI } from './symbol.ts'

/** Most labels in one print: as many as one entry can name. */
export const LABELS_LIMIT = PRINT_LIMIT
/** Longest single text on a label, in characters. */
export const LABEL_TEXT_LIMIT = 200
/** Short lines on a field tag beside its code. */
export const FIELD_LINES_LIMIT = 3
/** Further lines that a nursery may put on a leaving label. */
export const REMARKS_LIMIT = 4
/** How often one code may be printed again. */
export const PRINTING_LIMIT = 99

const labelText = z
  .string()
  .max(LABEL_TEXT_LIMIT, `a text on a label has at most ${LABEL_TEXT_LIMIT} characters`)
  .refine((text) => text.trim() !== '', 'leave an empty text out instead')
  .regex(
    /^[^\p{Cs}\p{Co}\u200B-\u200F\u202A-\u202E\u2060-\u2069\uFEFF]*$/u,
    'this text holds a character that does not print',
  )

const tagCode = z.string().refine(isTagCode, {
  error: (issue) => `"${String(issue.input)}" is not a tag code: eleven characters, right check`,
})

const printing = z
  .int()
  .min(1)
  .max(PRINTING_LIMIT)
  .default(1)
  .describe('1 for the first print of this code; 2 prints the mark R2, and so on')

/** A tag for the field, on a bundle, box or row: the bare code and up to three short lines. */
export const fieldTagSchema = z.strictObject({
  kind: z.literal('field tag'),
  code: tagCode,
  lines: z.array(labelText).max(FIELD_LINES_LIMIT).default([]),
  printing,
  bundleDiameterMm: z
    .number()
    .min(5)
    .max(1000)
    .optional()
    .describe('across the bundle that the tag lies round; keeps the symbol to half of it'),
})

/** The particulars of Directive 68/193/EEC Annex IV, each only if the nursery filled it in. */
export const particularsSchema = z.strictObject({
  standardWords: labelText.optional(),
  countryOfProduction: labelText.optional(),
  certificationBody: labelText.optional().describe('with its Member State, or their acronym'),
  producer: labelText.optional().describe('name and address, or registration number'),
  species: labelText.optional().describe('Vitis L.'),
  materialType: labelText.optional(),
  category: labelText.optional(),
  variety: labelText.optional().describe('of the scion where the vine is grafted'),
  clone: labelText.optional(),
  rootstockVariety: labelText.optional(),
  rootstockClone: labelText.optional(),
  lotReference: labelText.optional(),
  pieceCount: z.int().min(1).optional(),
  minimumLengthCm: z.number().positive().max(500).optional(),
  cropYear: z.int().min(1800).max(2099).optional(),
  grafted: z.boolean().default(false).describe('scion and rootstock are both named'),
  rootstockCutting: z.boolean().default(false).describe('the only material that shows a length'),
  remarks: z.array(labelText).max(REMARKS_LIMIT).default([]),
})

/** The elements of a plant passport, Regulation (EU) 2016/2031 Annex VII part A. */
export const passportSchema = z.strictObject({
  localWords: labelText
    .optional()
    .describe('the words "Plant Passport" in another official language of the Union'),
  botanicalName: labelText.optional().describe('element A'),
  operatorCode: labelText.optional().describe('element B: ES-12345678'),
  traceabilityCode: labelText.optional().describe('element C'),
  origin: labelText.optional().describe('element D, where it applies'),
})

/** A label for wood or vines that leave the nursery. */
export const leavingLabelSchema = z.strictObject({
  kind: z.literal('leaving label'),
  code: tagCode,
  host: z.string().refine(isTagHost, {
    error: (issue) => `"${String(issue.input)}" is not a host name like tags.example.org`,
  }),
  particulars: particularsSchema,
  passport: passportSchema.optional(),
  captions: z
    .partialRecord(particularsSchema.keyof(), labelText)
    .default({})
    .describe('words before each particular in the language of the label'),
  localStatement: labelText
    .optional()
    .describe('the statement that no authority issued this, in the language of the label'),
  printing,
})

/** The newest checkpoint of the journal, to be printed behind the last label. */
export const journalProofSchema = z.strictObject({
  note: z.string().max(4096).describe('the signed note of a checkpoint, byte for byte'),
  signedAt: z.date(),
})

/** One print: the form, the printer and the labels in order. */
export const labelRequestSchema = z
  .strictObject({
    form: labelFormSchema,
    printerDpi: z.literal(PRINTER_DPI).default(203),
    firstSlot: z
      .int()
      .min(0)
      .max(10_000)
      .default(0)
      .describe('labels already used on the first sheet; they are passed over'),
    labels: z
      .array(z.discriminatedUnion('kind', [fieldTagSchema, leavingLabelSchema]))
      .min(1, 'there is no label to print')
      .max(LABELS_LIMIT, `one print has at most ${LABELS_LIMIT} labels; print the rest after it`),
    journalProof: journalProofSchema.nullable().default(null),
    preparedAt: z
      .date()
      .describe('written into the document; the same request gives the same bytes'),
    acceptIncomplete: z
      .boolean()
      .default(false)
      .describe('print although some text is cut or cannot be printed; the cut shows as …'),
  })
  .superRefine(({ form, firstSlot }, context) => {
    const slots = labelsPerPage(form)
    if (firstSlot < slots) return
    context.addIssue({
      code: 'custom',
      path: ['firstSlot'],
      message: `a sheet of this form has ${slots} labels: pass over at most ${slots - 1} of them`,
    })
  })

export type FieldTag = z.infer<typeof fieldTagSchema>
export type LeavingLabel = z.infer<typeof leavingLabelSchema>
export type Particulars = z.infer<typeof particularsSchema>
export type JournalProof = z.infer<typeof journalProofSchema>
export type Passport = z.infer<typeof passportSchema>
export type Label = FieldTag | LeavingLabel
/** A request as it is written: defaults may be left out. */
export type LabelRequestInput = z.input<typeof labelRequestSchema>
/** A request as it was checked: defaults are filled in. */
export type LabelRequest = z.infer<typeof labelRequestSchema>

/** Text as it is set: Unicode form NFC, one line, single spaces. */
export function cleanText(text: string): string {
  return text
    .normalize('NFC')
    .replace(/[\s\p{Cc}]+/gu, ' ')
    .trim()
}
