// Turns a recorded print into what the label printer is asked for.
import type { NurseryProfile } from '../nursery/read.ts'
import type { LabelForm } from './forms.ts'
import type { PrintedTag } from './read-tags.ts'
import type { JournalProof, Label, LabelRequestInput } from './request.ts'
import type { PrinterDpi } from './symbol.ts'

/** How a print is to come out: form, printer, and labels already used on the first sheet. */
export type PrintSettings = {
  form: LabelForm
  printerDpi: PrinterDpi
  firstSlot: number
  /** The checkpoint that goes with it; null: none was asked for, or nothing is signed yet. */
  journalProof: JournalProof | null
}

/** Where labels that leave the nursery lead when the nursery has not set a host name. */
const noHost = 'canemark.invalid'

/**
 * The request for the labels of a print. Field tags carry the bare code; labels that leave carry
 * the lookup address and the particulars that the nursery has filled in, marked as prepared for,
 * not issued by, the authority.
 */
export function printRequest(
  tags: PrintedTag[],
  nursery: NurseryProfile | null,
  settings: PrintSettings,
): LabelRequestInput {
  return {
    ...settings,
    labels: tags.map((tag) =>
      tag.payload === 'field tag' ? fieldTag(tag) : leavingLabel(tag, nursery),
    ),
    preparedAt: tags[0]?.occurred_at ?? new Date(0),
    acceptIncomplete: true,
  }
}

function fieldTag(tag: PrintedTag): Label {
  return { kind: 'field tag', code: tag.code, lines: tagLines(tag), printing: tag.printing }
}

/** Up to three short lines: which lot and bundle, what it is, how much. */
export function tagLines(tag: PrintedTag): string[] {
  if (tag.lot_reference === null) return tag.thing_name === null ? [] : [tag.thing_name]
  const bundle = tag.bundle_number === null ? '' : `, bundle ${tag.bundle_number}`
  const clone = tag.clone === null ? '' : `, clone ${tag.clone}`
  const amount = tag.count === null ? '' : `${tag.count} ${tag.unit}s`
  const lines = [`Lot ${tag.lot_reference}${bundle}`, `${tag.variety ?? ''}${clone}`, amount]
  return lines.filter((line) => line.trim() !== '')
}

function leavingLabel(tag: PrintedTag, nursery: NurseryProfile | null): Label {
  const host = nursery?.label_host ?? noHost
  return {
    kind: 'leaving label',
    code: tag.code,
    host,
    printing: tag.printing,
    captions: {},
    particulars: {
      grafted: tag.material === 'grafted vine',
      rootstockCutting: tag.material === 'rootstock wood',
      remarks: [],
      species: 'Vitis L.',
      ...given({
        countryOfProduction: nursery?.country,
        certificationBody: nursery?.certification_body,
        producer: producer(nursery),
        materialType: tag.material,
        category: tag.class,
        variety: tag.variety,
        clone: tag.clone,
        lotReference: tag.lot_reference,
        pieceCount: tag.count,
        cropYear: tag.harvest_year,
      }),
    },
    passport: {
      ...given({
        botanicalName: 'Vitis',
        operatorCode: nursery?.operator_number,
        traceabilityCode: tag.passport_code ?? tag.lot_reference,
        origin: nursery?.country,
      }),
    },
  }
}

function producer(nursery: NurseryProfile | null): string | undefined {
  if (nursery === null) return undefined
  return nursery.operator_number ?? `${nursery.name}, ${nursery.address.replaceAll('\n', ', ')}`
}

type Given<T> = { [K in keyof T]?: NonNullable<T[K]> }

function given<T extends Record<string, string | number | null | undefined>>(values: T): Given<T> {
  const filled = Object.entries(values).filter(
    ([, value]) => value !== null && value !== undefined && value !== '',
  )
  return Object.fromEntries(filled) as Given<T>
}
