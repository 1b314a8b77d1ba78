// The code on a tag: how it is made, checked, read back from what was scanned or typed, and shown.
import { mod37_36 } from 'cdigit'

/** The 32 characters of a code: Crockford base32, which has no I, L, O or U. */
export const TAG_ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'
/** Characters of a code before its check character. */
export const TAG_BODY_LENGTH = 10
/** Characters of a whole code, check character included. */
export const TAG_CODE_LENGTH = TAG_BODY_LENGTH + 1
/** Random bytes that one try at a code uses; the last six bits are left over. */
export const TAG_RANDOM_BYTES = 7
/** Most tries at one code. One in nine fails, so a sound random source never gets this far. */
export const TAG_TRIES_LIMIT = 64
/** Longest text that is looked at as a possible code, in characters. */
export const TAG_INPUT_LIMIT = 512

/** What was read out of a scanned or typed text. */
export type TagInput =
  | {
      ok: true
      /** The code as it is stored: eleven characters, upper case, no groups. */
      code: string
      /** The host of the address that carried the code, in lower case; null for a bare code. */
      host: string | null
    }
  | ({ ok: false } & TagProblem)

/** Why a text is not a code, with what is needed to say where. */
export type TagProblem =
  | { problem: 'empty' }
  | { problem: 'not_a_code'; character: string; position: number }
  | { problem: 'wrong_length'; length: number; expectedLength: number }
  | { problem: 'wrong_check'; text: string }
  | { problem: 'other_address'; host: string }

/**
 * Makes a new code. `randomBytes` is asked for TAG_RANDOM_BYTES fresh random bytes for each try.
 * @throws Error when TAG_TRIES_LIMIT tries gave no code: the random source is broken
 */
export function makeTagCode(randomBytes: (byteCount: number) => Uint8Array): string {
  for (let tries = 0; tries < TAG_TRIES_LIMIT; tries++) {
    const code = tagCodeFromBytes(randomBytes(TAG_RANDOM_BYTES))
    if (code !== null) return code
  }
  throw new Error(`${TAG_TRIES_LIMIT} tries gave no tag code: the random source is broken`)
}

/**
 * Makes a code from the first fifty bits of seven or more random bytes, or null when its check
 * character would be I, L, O or U (about one time in nine): then try again with other bytes.
 * @throws RangeError for fewer than TAG_RANDOM_BYTES bytes
 */
export function tagCodeFromBytes(bytes: Uint8Array): string | null {
  if (bytes.length < TAG_RANDOM_BYTES) {
    throw new RangeError(`a tag code needs ${TAG_RANDOM_BYTES} random bytes, not ${bytes.length}`)
  }
  let body = ''
  let bits = 0
  let bitCount = 0
  for (const byte of bytes.subarray(0, TAG_RANDOM_BYTES)) {
    bits = (bits << 8) | byte
    bitCount += 8
    while (bitCount >= 5 && body.length < TAG_BODY_LENGTH) {
      bitCount -= 5
      body += TAG_ALPHABET.charAt((bits >> bitCount) & 31)
    }
    bits &= (1 << bitCount) - 1
  }
  const code = body + mod37_36.compute(body)
  return isInAlphabet(code) ? code : null
}

/** Whether a text is a code exactly as it is stored: eleven characters with a right check. */
export function isTagCode(text: string): boolean {
  // The format comes first: the library accepts any characters in front of the check character.
  return text.length === TAG_CODE_LENGTH && isInAlphabet(text) && mod37_36.validate(text)
}

/**
 * Reads a code out of what a scanner or a person gave: a bare code, a code in groups, small
 * letters, I or L for 1, O for 0, or the address HTTPS://HOST/T/CODE of any host. As no issued
 * code holds I, L or O anywhere, these are read as 1 and 0 in the check character too.
 */
export function parseTagInput(text: string): TagInput {
  if (text.length > TAG_INPUT_LIMIT) return wrongLength(text.length)
  const trimmed = text.trim()
  if (trimmed === '') return { ok: false, problem: 'empty' }
  const address = /^https?:\/\/([^/?#]*)(.*)$/isu.exec(trimmed)
  if (address === null) return parseBareCode(trimmed, null)
  const host = (address[1] ?? '').toLowerCase()
  const path = /^\/t\/([^/?#]+)\/?(?:[?#].*)?$/isu.exec(address[2] ?? '')
  if (path === null || !isTagHost(host)) return { ok: false, problem: 'other_address', host }
  return parseBareCode(path[1] ?? '', host)
}

/**
 * Shows a code in groups of four, four and three: 0123-4567-89A. Groups of at most four can be
 * held in mind while reading aloud, and the hyphen is no character of a code, so nobody asks
 * whether it belongs to it. A text of any other length comes back as it is.
 */
export function formatTagCode(code: string): string {
  return tagCodeGroups(code).join('-')
}

/** The three groups of a code, for a label that sets them one below the other. */
export function tagCodeGroups(code: string): string[] {
  if (code.length !== TAG_CODE_LENGTH) return [code]
  return [code.slice(0, 4), code.slice(4, 8), code.slice(8)]
}

/**
 * The address that a label carries when it leaves the nursery: HTTPS://HOST/T/CODE, upper case,
 * so that every character is in the QR alphanumeric set (ISO/IEC 18004).
 * @param host host name, with a port if needed, like `tags.example.org`
 * @throws RangeError when the host or the code is not one
 */
export function tagAddress(host: string, code: string): string {
  if (!isTagHost(host)) {
    throw new RangeError(
      `"${host}" is not a host name like tags.example.org or tags.example.org:8443`,
    )
  }
  if (!isTagCode(code)) throw new RangeError(`"${code}" is not a tag code`)
  return `HTTPS://${host.toUpperCase()}/T/${code}`
}

/** Whether a text can stand as the host in a label's address: letters, digits, hyphens, dots. */
export function isTagHost(host: string): boolean {
  const label = '[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?'
  return (
    host.length <= 253 && new RegExp(`^${label}(?:\\.${label})*(?::\\d{1,5})?$`, 'i').test(host)
  )
}

/** Says in English what is wrong with a text that should be a code, and how to mend it. */
export function tagProblemText(problem: TagProblem): string {
  switch (problem.problem) {
    case 'empty':
      return 'No tag code was given. Scan the tag, or type the eleven characters printed on it.'
    case 'not_a_code':
      return (
        `"${problem.character}" (character ${problem.position}) is in no tag code. ` +
        'A code has digits and letters, without I, L, O and U.'
      )
    case 'wrong_length':
      return (
        `A tag code has ${problem.expectedLength} characters; this has ${problem.length}. ` +
        'Look for a missing or doubled character.'
      )
    case 'wrong_check':
      return (
        `${formatTagCode(problem.text)} is misread or mistyped: its last character does not ` +
        'fit the rest. Compare it with the tag, group by group.'
      )
    case 'other_address':
      return `This is a web address at ${problem.host || 'no host'}, but not the address of a tag.`
  }
}

function parseBareCode(text: string, host: string | null): TagInput {
  let code = ''
  let position = 0
  for (const character of text) {
    position++
    if (/[\s\p{Pd}]/u.test(character)) continue
    const folded = foldCharacter(character)
    if (folded === null) return { ok: false, problem: 'not_a_code', character, position }
    code += folded
  }
  if (code === '') return { ok: false, problem: 'empty' }
  if (code.length !== TAG_CODE_LENGTH) return wrongLength(code.length)
  if (!mod37_36.validate(code)) return { ok: false, problem: 'wrong_check', text: code }
  return { ok: true, code, host }
}

function wrongLength(length: number): TagInput {
  return { ok: false, problem: 'wrong_length', length, expectedLength: TAG_CODE_LENGTH }
}

function foldCharacter(character: string): string | null {
  // ASCII only: toUpperCase would turn letters of other scripts into these.
  if (!/^[0-9A-Za-z]$/.test(character)) return null
  const upper = character.toUpperCase()
  if (upper === 'I' || upper === 'L') return '1'
  if (upper === 'O') return '0'
  return TAG_ALPHABET.includes(upper) ? upper : null
}

function isInAlphabet(text: string): boolean {
  return [...text].every((character) => TAG_ALPHABET.includes(character))
}
