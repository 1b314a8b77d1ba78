// Answers with a table as a CSV file that a spreadsheet opens without running anything in it.
import type { Context } from 'hono'
import { stringify } from 'csv-stringify/sync'

/**
 * UTF-8 with a byte order mark (so that spreadsheets read accents right), comma separated; cells
 * that would start a formula are quoted against it.
 */
export function csvFile(
  c: Context,
  name: string,
  header: string[],
  rows: (string | number | null)[][],
): Response {
  const text = stringify([header, ...rows], { escape_formulas: true, bom: true })
  return c.body(text, 200, {
    'content-type': 'text/csv; charset=utf-8',
    'content-disposition': `attachment; filename="${name}"`,
  })
}
