// Reads single cells of a block's CSV file: counts, years, ends of a row, and plain text.
import { POSITION_LIMIT } from '#wire/basics.ts'
import { foldName } from './closest-name.ts'
import {
  SHOWN_VALUE_LIMIT,
  acceptedCell,
  refusedCell,
  type Fault,
  type Reading,
} from './block-csv-types.ts'

/** The end of the row from which a line counts its positions. */
export type RowEnd = 'head' | 'far'

/** What makes a cell unfit whatever column it stands in; null when nothing does. */
export function cellFault(text: string): Fault | null {
  if (/^[=\uFF1D]/.test(text)) {
    return {
      message: 'The cell holds a formula, not its result.',
      remedy: 'Copy the column, paste it back as values only, and save again.',
    }
  }
  if (isSpreadsheetError(text)) {
    return {
      message: 'The cell holds an error of the spreadsheet.',
      remedy: 'Correct the formula in the sheet, paste its result as a value, and save again.',
    }
  }
  if (/[\r\n]/.test(text)) {
    return {
      message: 'The cell holds a line break.',
      remedy: 'Take the line break out; describe each section in a line of its own.',
    }
  }
  return null
}

/** Reads a whole number from 1 to the longest row. */
export function readPosition(text: string): Reading<number> {
  const digits = wholeNumber(text)
  if (!digits.ok) return digits
  if (digits.value === 0) {
    return refusedCell('0 is not possible here.', 'Positions and counts begin with 1.')
  }
  if (digits.value > POSITION_LIMIT) {
    return refusedCell(
      `${digits.value} is more than the longest row, ${POSITION_LIMIT} positions.`,
      'Check the number; split a longer row into two.',
    )
  }
  return digits
}

/** Earliest planting year that is read. */
export const FIRST_PLANTING_YEAR = 1800

/** Reads a year of four digits, up to the current one. */
export function readPlantedYear(text: string, currentYear: number): Reading<number> {
  if (!/^\d{4}$/.test(text)) {
    return refusedCell('This is no year of four digits.', 'Write the year only, like 2019.')
  }
  const year = Number(text)
  if (year > currentYear) {
    return refusedCell(
      `The year ${year} is still to come; it is ${currentYear}.`,
      'Leave the cell empty when the vines are not yet planted, or correct the year.',
    )
  }
  if (year < FIRST_PLANTING_YEAR) {
    return refusedCell(
      `The year ${year} is before ${FIRST_PLANTING_YEAR}.`,
      'Correct the year, or leave the cell empty when it is not known.',
    )
  }
  return acceptedCell(year)
}

const rowEnds = new Map<string, RowEnd>([
  ['head', 'head'],
  ['headend', 'head'],
  ['cabecera', 'head'],
  ['cabeza', 'head'],
  ['far', 'far'],
  ['farend', 'far'],
  ['fondo', 'far'],
  ['final', 'far'],
])

/** Reads the end from which a line counts; an empty cell is the head. */
export function readRowEnd(text: string): Reading<RowEnd> {
  if (text === '') return acceptedCell('head')
  const end = rowEnds.get(foldName(text).replace(/[\s_-]/g, ''))
  if (end !== undefined) return acceptedCell(end)
  return refusedCell(
    'The end from which the positions are counted is not known.',
    'Write head or far; leave the cell empty for head.',
  )
}

/** A cell for display: shortened, hidden and direction-changing characters spelled out. */
export function shownValue(text: string): string {
  const characters = Array.from(text)
  const shown = characters
    .slice(0, SHOWN_VALUE_LIMIT)
    .map((character) =>
      /[\p{C}\p{Zl}\p{Zp}]/u.test(character) ? `[${codePointName(character)}]` : character,
    )
  return shown.join('') + (characters.length > SHOWN_VALUE_LIMIT ? '…' : '')
}

/** Takes space from both ends and makes inner runs of space, of any width, one space. */
export function tidySpace(text: string): string {
  return text.replace(/[^\S\r\n]+/gu, ' ').trim()
}

function codePointName(character: string): string {
  const hex = (character.codePointAt(0) ?? 0).toString(16).toUpperCase()
  return `U+${hex.padStart(4, '0')}`
}

function wholeNumber(text: string): Reading<number> {
  if (/^\d{1,9}$/.test(text)) return acceptedCell(Number(text))
  if (/^\d{10,}$/.test(text)) {
    return refusedCell('The number is far too large.', 'Check the number.')
  }
  if (/^[-\u2010-\u2015\u2212]\s*\d+([.,]\d+)?$/u.test(text)) {
    return refusedCell('The number is negative.', 'Write a whole number from 1 up, without sign.')
  }
  if (/^\d{1,3}(?:[.,' ]\d{3})+$/.test(text)) {
    return refusedCell(
      'The number holds a mark between its digits: for thousands, or a decimal?',
      'Write the whole number in digits only, like 1200.',
    )
  }
  if (/^\d*[.,]\d+$/.test(text)) {
    return refusedCell(
      'The number has a decimal part; only whole vines count.',
      'Write a whole number, and format the column without decimal places.',
    )
  }
  if (/^\p{Nd}+$/u.test(text)) {
    return refusedCell('The digits are not 0 to 9.', 'Write the number in the digits 0 to 9.')
  }
  return refusedCell('A whole number is needed here.', 'Write digits only, like 60.')
}

// “#REF!”, “#¡VALOR!”, “#N/A”, “###” of a narrow column, “Err:502”.
function isSpreadsheetError(text: string): boolean {
  return /^(?:#[¡¿]?[A-Z][A-Z0-9/]*[!?]|#N\/[AD]|#{3,}|Err:\d+)$/i.test(text)
}
