// Invented labels that the label tests print: codes, texts in several scripts, particulars.
import { makeTagCode } from '../../api/trade/tag-code.ts'
import type { LabelRequestInput } from '../../api/labels/request.ts'

type LabelInput = LabelRequestInput['labels'][number]
type FieldTagInput = Extract<LabelInput, { kind: 'field tag' }>
type LeavingLabelInput = Extract<LabelInput, { kind: 'leaving label' }>

/** A code for each number, always the same. */
export function exampleCode(number: number): string {
  let state = (number * 2654435761 + 12345) >>> 0
  return makeTagCode((byteCount) =>
    Uint8Array.from({ length: byteCount }, () => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0
      return state >>> 24
    }),
  )
}

/** Short lines in Latin, Cyrillic, Greek, Georgian and accented Latin letters. */
export const EXAMPLE_LINES = [
  ['Lot 26-014 / 3', 'Valdorena Blanca 1143', '200 sticks'],
  ['Партида 26-015', 'Ружа Долинска, клон 7', '100 лози'],
  ['Παρτίδα 26-016', 'Ασπρούδα Νήσου, κλώνος 3', '50'],
  ['პარტია 26-017', 'თეთრი ველი, კლონი 2', '200'],
  ['Ł ő ș ğ ñ ß ÿ ž', 'Źdźbło Żółte', 'Ørskov Åse'],
] as const

export function exampleFieldTag(number: number, over: Partial<FieldTagInput> = {}): FieldTagInput {
  const lines = [...(EXAMPLE_LINES[number % EXAMPLE_LINES.length] ?? [])]
  return { kind: 'field tag', code: exampleCode(number), lines, ...over }
}

/** Every particular of a grafted vine filled in. */
export const EXAMPLE_PARTICULARS: LeavingLabelInput['particulars'] = {
  standardWords: 'EU standard',
  countryOfProduction: 'ES',
  certificationBody: 'Plant Health Service, ES',
  producer: 'Viveros Valdorena, Camino Alto 4; ES-17-0042',
  species: 'Vitis L.',
  materialType: 'grafted vines',
  category: 'certified',
  variety: 'Valdorena Blanca',
  clone: '1143',
  rootstockVariety: 'Roca 77',
  rootstockClone: '12',
  grafted: true,
  lotReference: '26-014',
  pieceCount: 50,
  cropYear: 2026,
}

export const EXAMPLE_PASSPORT: NonNullable<LeavingLabelInput['passport']> = {
  localWords: 'Pasaporte fitosanitario',
  botanicalName: 'Vitis vinifera',
  operatorCode: 'ES-17000042',
  traceabilityCode: '26-014-3',
  origin: 'ES',
}

export const EXAMPLE_HOST = 'tags.valdorena.example'

export function exampleLeavingLabel(
  number: number,
  over: Partial<LeavingLabelInput> = {},
): LeavingLabelInput {
  return {
    kind: 'leaving label',
    code: exampleCode(number),
    host: EXAMPLE_HOST,
    particulars: EXAMPLE_PARTICULARS,
    passport: EXAMPLE_PASSPORT,
    ...over,
  }
}

/** The moment written into every example print. */
export const EXAMPLE_TIME = new Date('2026-02-03T04:05:06Z')
