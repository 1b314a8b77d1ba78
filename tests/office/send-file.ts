// Sends a form with a file, as a browser would.
import type { OfficeApp } from '../office-app.ts'

/** Posts the fields and one file under the name `file`. */
export async function sendFile(
  office: OfficeApp,
  path: string,
  file: { name: string; bytes: Uint8Array },
  fields: Record<string, string> = {},
): Promise<{ status: number; page: string }> {
  const body = new FormData()
  for (const [name, value] of Object.entries(fields)) body.append(name, value)
  body.append('file', new File([new Uint8Array(file.bytes)], file.name, { type: 'text/csv' }))
  const response = await office.app.request(`http://localhost${path}`, {
    method: 'POST',
    body,
    headers: { origin: 'http://localhost' },
  })
  return { status: response.status, page: await response.text() }
}

/** The value of a hidden field on a page. */
export function hiddenValue(page: string, name: string): string {
  return hiddenValues(page, name)[0] ?? ''
}

/** The values of all hidden fields of a name, in order. */
export function hiddenValues(page: string, name: string): string[] {
  const tags = page.match(/<input type="hidden"[^>]*>/g) ?? []
  return tags
    .filter((tag) => tag.includes(`name="${name}"`))
    .map((tag) => (/value="([^"]*)"/.exec(tag)?.[1] ?? '').replaceAll('&amp;', '&'))
}
