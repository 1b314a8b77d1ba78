// Parts the text of a logger's file into lines and cells.

export type Separator = ',' | ';' | '\t'

/** The lines of a text, without their ends; blank lines keep their place. */
export function linesOf(text: string): string[] {
  const lines = text.split(/\r\n|\n|\r/)
  while (lines.length > 0 && lines.at(-1)?.trim() === '') lines.pop()
  return lines
}

/** The cells of a line, trimmed and without quotes. */
export function cellsOf(line: string, separator: Separator): string[] {
  if (!line.includes('"')) return line.split(separator).map((cell) => cell.trim())
  const cells: string[] = []
  let cell = ''
  let quoted = false
  for (let at = 0; at < line.length; at += 1) {
    const character = line[at] ?? ''
    if (character === '"') {
      if (quoted && line[at + 1] === '"') {
        cell += '"'
        at += 1
      } else quoted = !quoted
    } else if (character === separator && !quoted) {
      cells.push(cell.trim())
      cell = ''
    } else cell += character
  }
  cells.push(cell.trim())
  return cells
}

/** A number as written with this decimal mark; null when it is none. */
export function readNumber(text: string, decimal: '.' | ','): number | null {
  const pattern = decimal === ',' ? /^[+-]?\d+(,\d+)?$/ : /^[+-]?\d+(\.\d+)?$/
  if (!pattern.test(text)) return null
  return Number(decimal === ',' ? text.replace(',', '.') : text)
}

/** What loggers write where they have no value. */
export function isNoValue(text: string): boolean {
  return /^(-+|n\/?a|nan|null|err(or)?|\*+|)$/i.test(text)
}
