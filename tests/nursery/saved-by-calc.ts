// Has LibreOffice Calc itself save a sheet as CSV, for tests of what spreadsheets write.
import { execFile, spawnSync } from 'node:child_process'
import { readFile, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { promisify } from 'node:util'
import type { TestContext } from 'vitest'

const run = promisify(execFile)

/** Leaves a test out, with the reason, where LibreOffice is not here; fails where tools are due. */
export function requireLibreOffice(context: TestContext): void {
  if (spawnSync('soffice', ['--version']).error === undefined) return
  const reason = 'soffice is not installed: apt-get install libreoffice-calc'
  const due = [process.env.CI, process.env.CANEMARK_REQUIRE_TOOLS]
  if (due.some((set) => !['', '0', 'false', undefined].includes(set))) throw new Error(reason)
  console.warn(`not run: "${context.task.name}": ${reason}`)
  context.skip(reason)
}

/**
 * Filter tokens of Calc's CSV export, from its documentation “CSV Filter Parameters”: separator
 * and quote by character code, then the character set (76 UTF-8, 1 Windows-1252, 65535 UTF-16).
 */
export type Saving = { separator: 44 | 59 | 9; characters: 76 | 1 | 65535; quoteAll?: boolean }

/** The bytes of the sheet as Calc saves it; `folder` is one of the caller's own. */
export async function saveAsCsv(
  folder: string,
  sheet: string,
  saving: Saving,
): Promise<Uint8Array> {
  const source = join(folder, 'block.fods')
  await writeFile(source, sheet)
  const { separator, characters, quoteAll = false } = saving
  const tokens = `${separator},34,${characters},1,,0,${quoteAll},true,false`
  const profile = `-env:UserInstallation=file://${join(folder, 'profile')}`
  const filter = `csv:Text - txt - csv (StarCalc):${tokens}`
  const words = [profile, '--headless', '--convert-to', filter, '--outdir', folder, source]
  await run('soffice', words)
  return readFile(join(folder, 'block.csv'))
}

export type SheetCell = string | number | { date: string } | { formula: string } | null

/**
 * A flat OpenDocument sheet whose numbers have one optional decimal and a Spanish decimal comma,
 * and whose dates show as day and month.
 */
export function sheetOf(lines: readonly (readonly SheetCell[])[]): string {
  const names = ['office', 'style', 'text', 'table'].map(
    (name) => `xmlns:${name}="urn:oasis:names:tc:opendocument:xmlns:${name}:1.0"`,
  )
  const body = lines.map(
    (line) => `<table:table-row>${line.map(cellXml).join('')}</table:table-row>`,
  )
  return `<?xml version="1.0" encoding="UTF-8"?>
<office:document ${names.join(' ')}
 xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0"
 xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.3"
 office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
 <number:number-style style:name="N1" number:language="es" number:country="ES">
  <number:number number:decimal-places="1" number:min-decimal-places="0"
   number:min-integer-digits="1"/></number:number-style>
 <number:date-style style:name="N2" number:language="es" number:country="ES">
  <number:day/><number:text>-</number:text><number:month number:textual="true"/>
 </number:date-style>
 <style:style style:name="ce1" style:family="table-cell" style:data-style-name="N1"/>
 <style:style style:name="ce2" style:family="table-cell" style:data-style-name="N2"/>
</office:automatic-styles>
<office:body><office:spreadsheet><table:table table:name="Block">${body.join('\n')}
</table:table></office:spreadsheet></office:body></office:document>`
}

function cellXml(cell: SheetCell): string {
  if (cell === null) return '<table:table-cell/>'
  if (typeof cell === 'number') {
    const value = `office:value-type="float" office:value="${cell}"`
    return `<table:table-cell table:style-name="ce1" ${value}/>`
  }
  if (typeof cell === 'string') {
    const written = cell.replaceAll('&', '&amp;').replaceAll('<', '&lt;')
    return (
      '<table:table-cell office:value-type="string">' +
      `<text:p>${written}</text:p></table:table-cell>`
    )
  }
  if ('date' in cell) {
    const value = `office:value-type="date" office:date-value="${cell.date}"`
    return `<table:table-cell table:style-name="ce2" ${value}/>`
  }
  return `<table:table-cell table:formula="of:=${cell.formula}" office:value-type="float"/>`
}
