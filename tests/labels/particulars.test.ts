// Particulars of leaving labels against the published lists.
import { describe, expect, test } from 'vitest'
import { passportWords } from '../../api/labels/layout-passport.ts'
import {
  missingParticulars,
  particularParagraphs,
  particularWarnings,
} from '../../api/labels/particulars.ts'
import { leavingLabelSchema } from '../../api/labels/request.ts'
import { EXAMPLE_PARTICULARS, exampleLeavingLabel } from './examples.ts'

type Change = Partial<Parameters<typeof exampleLeavingLabel>[1]>

function label(change: Change = {}) {
  return leavingLabelSchema.parse(exampleLeavingLabel(0, change))
}

function linesOf(change: Change): string[] {
  return particularParagraphs(label(change)).map((paragraph) => paragraph.text)
}

describe('particulars of a leaving label', () => {
  // Directive 68/193/EEC Annex IV: RebPflV 1986 Anlage 4; D.Lgs. 16/2021 All. V.
  test('an empty label misses the published twelve, length and rootstock only if due', () => {
    const numbers = (particulars: object) =>
      missingParticulars(label({ particulars, passport: undefined })).map((one) => one.number)
    expect(numbers({})).toEqual(['1', '2', '3', '4', '5', '6', '7', '8', '9', '10', '12'])
    expect(numbers({ rootstockCutting: true })).toContain('11')
    expect(numbers({ grafted: true }).filter((one) => one === '8')).toHaveLength(2)
  })

  // RebPflV 1986 Anlage 4: one piece needs the norm to the species, and the variety.
  test('a single piece misses only numbers 1 to 5 and 8', () => {
    const particulars = { pieceCount: 1 }
    const missing = missingParticulars(label({ particulars, passport: undefined }))
    expect(missing.map((one) => one.number)).toEqual(['1', '2', '3', '4', '5', '8'])
  })

  // Regulation (EU) 2016/2031 Annex VII part A; D only where it applies.
  test('an empty passport misses elements A, B and C; a label without passport none', () => {
    const missing = (passport: object | undefined) =>
      missingParticulars(label({ passport })).map((one) => one.number)
    expect(missing({})).toEqual(['A', 'B', 'C'])
    expect(missing(undefined)).toEqual([])
  })

  test('a full label misses nothing and says everything once, in the published order', () => {
    expect(missingParticulars(label())).toEqual([])
    expect(linesOf({})).toEqual([
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
    ])
  })

  test('a length is shown for rootstock cuttings only, and told where it is left out', () => {
    const particulars = { ...EXAMPLE_PARTICULARS, minimumLengthCm: 105 }
    expect(linesOf({ particulars }).join()).not.toMatch(/105/)
    expect(particularWarnings(label({ particulars })).map((one) => one.code)).toEqual([
      'length_left_out',
    ])
    const cuttings = { ...particulars, rootstockCutting: true }
    expect(linesOf({ particulars: cuttings })).toContain('Minimum length: 105\u00a0cm')
    expect(particularWarnings(label({ particulars: cuttings }))).toEqual([])
  })

  test('what is not filled in leaves no empty caption', () => {
    expect(linesOf({ particulars: { variety: 'Roca 77', remarks: ['from in-vitro'] } })).toEqual([
      'Variety: Roca 77',
      'from in-vitro',
    ])
    expect(linesOf({ particulars: { clone: '12' } })).toEqual(['clone 12'])
  })

  test('captions come out in the language of the label', () => {
    const captions = { lotReference: 'Lote', variety: 'Variedad', clone: 'clon' }
    const lines = linesOf({ captions })
    expect(lines).toContain('Lote: 26-014')
    expect(lines).toContain('Variedad: Valdorena Blanca, clon 1143')
  })

  // Regulation (EU) 2016/2031 Annex VII: another language, a slash, then English if different.
  test('the passport words are the local ones, a slash and the English ones', () => {
    expect(passportWords({})).toBe('Plant Passport')
    expect(passportWords({ localWords: 'Plant Passport' })).toBe('Plant Passport')
    expect(passportWords({ localWords: 'Pasaporte fitosanitario' })).toBe(
      'Pasaporte fitosanitario / Plant Passport',
    )
  })

  test('an operator code that does not begin with a Member State is told', () => {
    const codes = (operatorCode: string) =>
      particularWarnings(label({ passport: { operatorCode } })).map((one) => one.code)
    expect(codes('ES-17000042')).toEqual([])
    expect(codes('17000042')).toEqual(['operator_code_form'])
    expect(codes('Es-17000042')).toEqual(['operator_code_form'])
  })
})
