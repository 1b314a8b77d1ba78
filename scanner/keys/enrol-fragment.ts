// Takes the enrolment code out of the address that the office's QR code opens.

/**
 * The code behind `#enrol=`, or null. The address loses it at once, so that neither the history
 * nor a shared link carries it on.
 */
export function takeEnrolCode(
  location: Pick<Location, 'hash' | 'pathname' | 'search'> = globalThis.location,
  history: Pick<History, 'replaceState'> = globalThis.history,
): string | null {
  const match = /^#enrol=([0-9A-Za-z-]{1,20})$/.exec(location.hash)
  if (match === null) return null
  history.replaceState(null, '', `${location.pathname}${location.search}`)
  return match[1] ?? null
}
