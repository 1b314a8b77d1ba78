// The text of a journal proof, as its symbol holds it, known from that of a tag.

/** Longest text that is looked at, in characters. */
const PROOF_TEXT_LIMIT = 4096

/** What a journal proof says; null where a reader lost the lines that keep the parts apart. */
export type ProofText = { origin: string; size: number } | { origin: null; size: null }

/**
 * Reads the signed note of a checkpoint (C2SP tlog-checkpoint) out of a scanned or pasted text, or
 * null when it is none. Only what kind of text it is: no signature is checked. A field of a page
 * drops line feeds, and a reader that types may write another dash, so these are not needed.
 */
export function readProofText(text: string): ProofText | null {
  if (text.length > PROOF_TEXT_LIMIT) return null
  const plain = text.replace(/\r\n?/g, '\n')
  const signed = '[A-Za-z0-9+/]{43}=\\s*(?:[\u2014\u2013-] \\S{1,200} [A-Za-z0-9+/]{90,92}=*\\s*)+$'
  const lines = new RegExp(`^(\\S{1,200})\\n(0|[1-9]\\d{0,14})\\n${signed}`, 'u').exec(plain)
  if (lines !== null) return { origin: lines[1] ?? '', size: Number(lines[2]) }
  const isRunTogether = new RegExp(`^\\S{1,200}\\s*\\d{1,15}\\s*${signed}`, 'u').test(plain)
  return isRunTogether ? { origin: null, size: null } : null
}
