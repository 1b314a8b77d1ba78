// Puts text, links and ids into SVG so that nothing a person typed can become markup.

/**
 * A text as XML character data or attribute value: markup characters are escaped, characters that
 * XML 1.0 does not allow (§2.2 Char: most control characters, lone surrogates, U+FFFE, U+FFFF)
 * become U+FFFD.
 */
export function xmlText(text: string): string {
  return text
    .replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '\uFFFD')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
}

/**
 * The link as an attribute value when it stays on this site: a path from the root, a query or a
 * fragment. Null for anything else, such as another host or a script.
 */
export function siteLink(href: string | null | undefined): string | null {
  if (href === null || href === undefined) return null
  const stays = /^(?:\/(?![/\\])|\?|#)[\x21-\x7e]*$/.test(href) && !href.includes('\\')
  return stays ? href : null
}

/** A text cut to a number of characters, with an ellipsis where something is left out. */
export function shortened(text: string, limit: number): string {
  const characters = Array.from(text)
  if (characters.length <= limit) return text
  return `${characters
    .slice(0, limit - 1)
    .join('')
    .trimEnd()}…`
}

/**
 * About how wide a text is in a sans-serif typeface, in units of its font size times one; on the
 * generous side, by three classes of letters (measured on DejaVu Sans, a wide typeface).
 */
export function textWidth(text: string, fontSize: number): number {
  let ems = 0
  for (const character of text) {
    if (/[ .,:;!'|ijlftrI()\[\]/-]/.test(character)) ems += 0.38
    else
      ems += /[\u{2e80}-\u{10ffff}]/u.test(character)
        ? 1.1
        : /[mwMWQ@%…—]/.test(character)
          ? 0.95
          : 0.64
  }
  return Math.ceil(ems * fontSize)
}

/** A whole number with a comma at each thousand. */
export function counted(count: number): string {
  return count.toLocaleString('en')
}

/** The day of an ISO 8601 date or time in words, “3 April 2026”; any other text as it is. */
export function dayWords(at: string): string {
  const match = /^(\d{4})-(\d\d)-(\d\d)(?:$|T)/.exec(at)
  const month = monthNames[Number(match?.[2]) - 1]
  if (match === null || month === undefined) return at
  return `${Number(match[3])} ${month} ${match[1]}`
}

/** Stops a picture whose ids could not be used in references or would need escaping. */
export function assertIdPrefix(idPrefix: string): void {
  if (/^[a-z][a-z0-9-]{0,60}$/.test(idPrefix)) return
  throw new Error(`the id prefix ${JSON.stringify(idPrefix)} must be a-z, 0-9 and hyphens`)
}

const monthNames = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
]
