// The forms in which the environment writes texts, numbers and addresses, and their refusals.

/** The text without blanks around it; null where none is given. */
export function given(text: string | undefined): string | null {
  const trimmed = (text ?? '').trim()
  return trimmed === '' ? null : trimmed
}

/** CANEMARK_ORIGIN as scheme, host and port; throws an Error that says how to write it. */
export function originOf(text: string | null): string | null {
  if (text === null) return null
  const url = URL.canParse(text) ? new URL(text) : null
  const isOrigin = url !== null && /^https?:$/.test(url.protocol) && `${url.origin}/` === url.href
  if (isOrigin) return url.origin
  throw new Error(
    `CANEMARK_ORIGIN: "${text}" is not the address of a server; ` +
      'write it like https://vines.example, without a path',
  )
}

/** The variable `name` as a whole number; throws an Error that names both limits. */
export function wholeNumber(name: string, text: string, min: number, max: number): number {
  if (/^\d{1,5}$/.test(text) && Number(text) >= min && Number(text) <= max) return Number(text)
  throw new Error(`${name}: "${text}" is not a whole number from ${min} to ${max}`)
}
