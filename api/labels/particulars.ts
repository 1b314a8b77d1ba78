// The particulars of a leaving label in order, and which of them the nursery has not filled in.
import type { Paragraph } from './fit-text.ts'
import type { LabelWarning, MissingParticular } from './layout-types.ts'
import { cleanText, type LeavingLabel, type Particulars } from './request.ts'

/** What every leaving label says about itself. We show evidence; an authority certifies. */
export const PREPARED_STATEMENT = 'Prepared for, not issued by, the authority'

type ParticularKey = keyof Particulars

/** Words before each particular where the nursery gives none; '' for words that need none. */
export const DEFAULT_CAPTIONS: Readonly<Record<ParticularKey, string>> = {
  standardWords: '',
  countryOfProduction: 'Country of production',
  certificationBody: 'Certification or control body',
  producer: 'Producer',
  species: 'Species',
  materialType: 'Material',
  category: 'Category',
  variety: 'Variety',
  clone: 'clone',
  rootstockVariety: 'Rootstock variety',
  rootstockClone: 'clone',
  lotReference: 'Lot',
  pieceCount: 'Pieces',
  minimumLengthCm: 'Minimum length',
  cropYear: 'Crop year',
  grafted: '',
  rootstockCutting: '',
  remarks: '',
}

/** Directive 68/193/EEC Annex IV in its order: RebPflV 1986 Anlage 4; D.Lgs. 16/2021 All. V. */
const NUMBERED: readonly { number: string; key: ParticularKey; name: string }[] = [
  { number: '1', key: 'standardWords', name: 'the words "EU standard"' },
  { number: '2', key: 'countryOfProduction', name: 'country of production' },
  { number: '3', key: 'certificationBody', name: 'certification or control body and Member State' },
  { number: '4', key: 'producer', name: 'producer: name and address, or registration number' },
  { number: '5', key: 'species', name: 'species' },
  { number: '6', key: 'materialType', name: 'type of material' },
  { number: '7', key: 'category', name: 'category' },
  { number: '8', key: 'variety', name: 'variety' },
  {
    number: '8',
    key: 'rootstockVariety',
    name: 'variety of the rootstock, as the vine is grafted',
  },
  { number: '9', key: 'lotReference', name: 'lot reference number' },
  { number: '10', key: 'pieceCount', name: 'quantity in pieces' },
  { number: '11', key: 'minimumLengthCm', name: 'minimum length, as these are rootstock cuttings' },
  { number: '12', key: 'cropYear', name: 'crop year' },
]

/** RebPflV 1986 Anlage 4: a single piece needs only these. */
const NUMBERS_FOR_ONE_PIECE = new Set(['1', '2', '3', '4', '5', '8'])

/** Regulation (EU) 2016/2031 Annex VII part A; D is printed where it applies and never missed. */
const PASSPORT_ELEMENTS = [
  { number: 'A', key: 'botanicalName', name: 'botanical name' },
  { number: 'B', key: 'operatorCode', name: 'Member State code and registration number' },
  { number: 'C', key: 'traceabilityCode', name: 'traceability code' },
] as const

/** The particulars as paragraphs in the order of the Directive; the variety stands out. */
export function particularParagraphs(label: LeavingLabel): Paragraph[] {
  const filled = label.particulars
  const of = (key: ParticularKey) => captioned(label, key, valueText(filled, key))
  const withClone = (variety: string, clone: string) =>
    variety === '' ? clone : clone === '' ? variety : `${variety}, ${clone}`
  const texts: [string, Paragraph['font']][] = [
    [of('standardWords'), 'text'],
    [of('countryOfProduction'), 'text'],
    [of('certificationBody'), 'text'],
    [of('producer'), 'text'],
    [of('species'), 'text'],
    [of('materialType'), 'text'],
    [of('category'), 'text'],
    [withClone(of('variety'), of('clone')), 'bold'],
    [withClone(of('rootstockVariety'), of('rootstockClone')), 'bold'],
    [of('lotReference'), 'bold'],
    [of('pieceCount'), 'text'],
    [filled.rootstockCutting ? of('minimumLengthCm') : '', 'text'],
    [of('cropYear'), 'text'],
    ...filled.remarks.map((remark): [string, 'text'] => [cleanText(remark), 'text']),
  ]
  return texts.filter(([text]) => text !== '').map(([text, font]) => ({ text, font }))
}

/** The particulars and passport elements that the label should carry and does not. */
export function missingParticulars(label: LeavingLabel): Omit<MissingParticular, 'labelIndex'>[] {
  const filled = label.particulars
  const particulars = NUMBERED.filter(({ number, key }) => {
    if (filled[key] !== undefined) return false
    if (key === 'rootstockVariety' && !filled.grafted) return false
    if (key === 'minimumLengthCm' && !filled.rootstockCutting) return false
    return filled.pieceCount !== 1 || NUMBERS_FOR_ONE_PIECE.has(number)
  })
  const elements = PASSPORT_ELEMENTS.filter(
    ({ key }) => label.passport !== undefined && label.passport[key] === undefined,
  )
  return [...particulars, ...elements].map(({ number, name }) => ({ number, name }))
}

/** What the nursery filled in that the label does not show, or shows in a doubtful form. */
export function particularWarnings(label: LeavingLabel): Omit<LabelWarning, 'labelIndex'>[] {
  const warnings: Omit<LabelWarning, 'labelIndex'>[] = []
  const { minimumLengthCm, rootstockCutting } = label.particulars
  if (minimumLengthCm !== undefined && !rootstockCutting) {
    warnings.push({
      code: 'length_left_out',
      message:
        `The length of ${minimumLengthCm} cm is left out: the label shows a length for ` +
        'rootstock cuttings only (Directive 68/193/EEC Annex IV).',
    })
  }
  const operatorCode = label.passport?.operatorCode
  if (operatorCode !== undefined && !/^[A-Z]{2}[- ]/.test(cleanText(operatorCode))) {
    warnings.push({
      code: 'operator_code_form',
      message:
        `Element B "${cleanText(operatorCode)}" should begin with the two letters of the Member ` +
        'State and a hyphen, like ES-12345678 (Regulation (EU) 2016/2031 Annex VII).',
    })
  }
  return warnings
}

function valueText(filled: Particulars, key: ParticularKey): string {
  const value = filled[key]
  if (typeof value === 'number') {
    return key === 'minimumLengthCm' ? `${value}\u00a0cm` : String(value)
  }
  return typeof value === 'string' ? cleanText(value) : ''
}

function captioned(label: LeavingLabel, key: ParticularKey, value: string): string {
  if (value === '') return ''
  const caption = cleanText(label.captions[key] ?? DEFAULT_CAPTIONS[key])
  if (caption === '') return value
  return key === 'clone' || key === 'rootstockClone'
    ? `${caption} ${value}`
    : `${caption}: ${value}`
}
