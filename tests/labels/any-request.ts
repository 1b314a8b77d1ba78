// Any print that could be asked for: every form, text and particular, for property tests.
import fc from 'fast-check'
import { cleanText, type LabelRequestInput } from '../../api/labels/request.ts'
import type { PrinterDpi } from '../../api/labels/symbol.ts'
import { EXAMPLE_LINES, exampleFieldTag, exampleLeavingLabel } from './examples.ts'

export type AnyRequest = Omit<LabelRequestInput, 'preparedAt'>

/** Rolls of any size, with one or two labels of either kind. */
export function anyRequest(): fc.Arbitrary<AnyRequest> {
  const side = fc.integer({ min: 100, max: 2100 }).map((tenths) => tenths / 10)
  const form = fc
    .record({ labelWidthMm: side, labelHeightMm: side, insetMm: fc.constantFrom(0, 1, 1.3) })
    .filter((one) => Math.min(one.labelWidthMm, one.labelHeightMm) - 2 * one.insetMm >= 8)
    .map((one) => ({ shape: 'roll' as const, name: 'Any', ...one }))
  const word = fc.constantFrom(...EXAMPLE_LINES.flat(), 'W'.repeat(40), 'a/b-c', 'x', '  two  ')
  const text = fc.array(word, { minLength: 1, maxLength: 4 }).map((words) => words.join(' '))
  const fieldTag = fc.record({
    kind: fc.constant('field tag' as const),
    code: fc.constantFrom(exampleFieldTag(1).code, exampleFieldTag(2).code),
    lines: fc.array(text, { maxLength: 3 }),
    printing: fc.constantFrom(1, 2, 99),
    bundleDiameterMm: fc.constantFrom(undefined, 15, 40),
  })
  const optional = fc.option(text, { nil: undefined })
  const leaving = fc.record({
    producer: optional,
    variety: optional,
    remark: optional,
    localWords: optional,
    traceabilityCode: optional,
    localStatement: optional,
    printing: fc.constantFrom(1, 3),
    passport: fc.boolean(),
  })
  const leavingLabel = leaving.map((one) => ({
    ...exampleLeavingLabel(3),
    printing: one.printing,
    localStatement: one.localStatement,
    particulars: {
      ...exampleLeavingLabel(3).particulars,
      producer: one.producer,
      variety: one.variety,
      remarks: one.remark === undefined ? [] : [one.remark],
    },
    passport: one.passport
      ? {
          ...exampleLeavingLabel(3).passport,
          localWords: one.localWords,
          traceabilityCode: one.traceabilityCode,
        }
      : undefined,
  }))
  return fc.record({
    form,
    printerDpi: fc.constantFrom<PrinterDpi>(203, 300, 600),
    labels: fc.array(fc.oneof(fieldTag, leavingLabel), { minLength: 1, maxLength: 2 }),
  })
}

/** The texts that a label must show or tell as overflow. */
export function textsAsked(label: AnyRequest['labels'][number]): string[] {
  if (label.kind === 'field tag') return [...(label.lines ?? []), label.code].map(cleanText)
  const { particulars, passport, localStatement } = label
  const asked = [
    particulars.producer,
    particulars.variety,
    particulars.lotReference,
    ...(particulars.remarks ?? []),
    passport?.localWords,
    passport?.operatorCode,
    passport?.traceabilityCode,
    localStatement,
    label.code,
    'Prepared for, not issued by, the authority',
  ]
  return asked.filter((text) => text !== undefined).map(cleanText)
}
