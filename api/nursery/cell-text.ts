// Checks the names and labels of an imported file, and guards them against being run as formulas.
import { checkText, type TextProblem } from '#trade/text-safety.ts'
import { acceptedCell, refusedCell, type Reading } from './block-csv-types.ts'

/**
 * Checks a name of at most `limit` code points as if it had been typed, and brings it to Unicode
 * form NFC. The apostrophe with which CSV files keep a spreadsheet from reading text as a formula
 * is taken off first.
 */
export function cellText(text: string, limit: number): Reading<string> {
  const plain = withoutGuard(text)
  if (plain.includes('\uFFFD')) {
    return refusedCell(
      'The text holds the mark of a letter that was lost in saving (U+FFFD).',
      'Type the text again, and save the sheet as CSV with the character set UTF-8.',
    )
  }
  const checked = checkText(plain, 'name', limit)
  if (checked.ok) return acceptedCell(checked.value)
  const place = checked.codePoint === null ? '' : `, character ${checked.at}: ${checked.codePoint}`
  return refusedCell(`${problemWords[checked.problem]}${place}.`, checked.remedy)
}

/**
 * Doubles the apostrophe of a text that begins like a guarded one, so that `cellText` gives the
 * same text back; the writer itself guards texts that begin with = + - or @.
 */
export function guardedText(text: string): string {
  return guarded.test(text) ? `'${text}` : text
}

const guarded = /^'+[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]/

function withoutGuard(text: string): string {
  return guarded.test(text) ? text.slice(1) : text
}

const problemWords: Readonly<Record<TextProblem, string>> = {
  empty: 'The text is empty',
  too_long: 'The text is too long',
  control: 'The text holds a control character',
  bidi: 'The text holds a hidden mark that turns the direction of writing',
  zero_width: 'The text holds an invisible character',
  lone_surrogate: 'The text holds a broken character',
  private_use: 'The text holds a character without an agreed meaning',
  mixed_scripts: 'The text mixes alphabets that look alike',
}
