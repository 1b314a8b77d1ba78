// Reads and writes a list of positions in a row, like “3, 17-19”.
import { POSITION_LIMIT } from '#wire/basics.ts'
import { acceptedCell, refusedCell, type Reading } from './block-csv-types.ts'

/**
 * Reads positions and ranges, separated by commas, semicolons or spaces, in ascending order.
 * A range is written “17-19”, with any dash, or “17 to 19”. An empty text is an empty list.
 */
export function readPositionList(text: string): Reading<number[]> {
  if (looksLikeDate(text)) {
    return refusedCell(
      'The spreadsheet has turned these positions into a date.',
      'Format the column as text, then type the positions again, a range as “3 to 5”.',
    )
  }
  const positions: number[] = []
  for (const part of rangesTightened(text).split(/[,;\s]+/)) {
    if (part === '') continue
    const range = readRange(part)
    if (!range.ok) return range
    const last = positions.at(-1)
    if (last !== undefined && range.value.from <= last) return notAscending(range.value.from, last)
    for (let at = range.value.from; at <= range.value.to; at += 1) positions.push(at)
  }
  return acceptedCell(positions)
}

/** Writes ascending positions with runs of three or more as ranges: “3, 17 to 19”. */
export function writePositionList(positions: readonly number[], rangeWord = ' to '): string {
  const runs: { from: number; to: number }[] = []
  for (const position of positions) {
    const last = runs.at(-1)
    if (last !== undefined && position === last.to + 1) last.to = position
    else runs.push({ from: position, to: position })
  }
  return runs.map((run) => writeRun(run.from, run.to, rangeWord)).join(', ')
}

/** Whether a spreadsheet could have made this text out of two numbers: “3,4” out of 3,40. */
export function couldBeDecimal(text: string): boolean {
  return /^\d+,\d+$/.test(text.trim())
}

function writeRun(from: number, to: number, rangeWord: string): string {
  if (from === to) return `${from}`
  return to === from + 1 ? `${from}, ${to}` : `${from}${rangeWord}${to}`
}

function rangesTightened(text: string): string {
  return text.replace(/(\d)\s*(?:[-\u2010-\u2015\u2212]|\b(?:to|a)\b)\s*(?=\d)/giu, '$1-')
}

function readRange(part: string): Reading<{ from: number; to: number }> {
  const match = /^(\d{1,9})(?:-(\d{1,9}))?$/.exec(part)
  if (match === null) {
    return refusedCell(
      `“${part}” is no position.`,
      'Write whole positions and ranges, separated by commas: 3, 17 to 19.',
    )
  }
  const from = Number(match[1])
  const to = match[2] === undefined ? from : Number(match[2])
  if (from < 1) return refusedCell('Position 0 does not exist.', 'Positions count from 1.')
  if (to < from) {
    return refusedCell(`The range ${part} runs backwards.`, `Write ${to} to ${from}.`)
  }
  if (to > POSITION_LIMIT) {
    return refusedCell(
      `Position ${to} is beyond the longest row, ${POSITION_LIMIT} positions.`,
      'Check the number; split a longer row into two.',
    )
  }
  return acceptedCell({ from, to })
}

function notAscending(position: number, last: number): Reading<number[]> {
  return refusedCell(
    `Position ${position} stands after ${last}; the list must ascend, each position once.`,
    'Sort the list. If the spreadsheet has shortened “3,10” to “3,1”, format the column as text.',
  )
}

const dateShapes = [
  /^\d{1,2}[-/. ]\p{L}{3,}\.?(?:[-/. ]\d{2,4})?$/u,
  /^\p{L}{3,}\.?[-/. ]\d{1,4}$/u,
  /^\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}(?:[ T].*)?$/,
  /^\d{1,2}\/\d{1,4}$/,
]

function looksLikeDate(text: string): boolean {
  return dateShapes.some((shape) => shape.test(text.trim()))
}
