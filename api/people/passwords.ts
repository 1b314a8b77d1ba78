// Hashes passwords so that a stolen table is of little use, and refuses those guessed first.
import { hash, verify } from '@node-rs/argon2'
import { isCommonPassword } from './common-passwords.ts'

/** Shortest password, in characters. */
export const PASSWORD_LEAST = 10
/** Longest password, in characters: enough for any sentence. */
export const PASSWORD_MOST = 200

/**
 * argon2id with 19 MiB, two passes and one lane: the least that the OWASP Password Storage Cheat
 * Sheet gives for it, about 30 ms here. argon2id is the binding's own default and number 2 in it.
 */
const strength = { algorithm: 2, memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const

/** The password as it is stored: a PHC string that begins with `$argon2id$`. */
export async function hashPassword(password: string): Promise<string> {
  return hash(password.normalize('NFC'), strength)
}

/**
 * Is this the password? A null `stored` (nobody has that name, or no password is set yet) costs
 * the same work as a wrong password, so that the time of the answer tells nothing.
 */
export async function isPassword(stored: string | null, password: string): Promise<boolean> {
  const known = stored ?? (await (nobody ??= hashPassword('a password that nobody has')))
  const right = await verify(known, password.slice(0, PASSWORD_MOST * 2).normalize('NFC'))
  return right && stored !== null
}
let nobody: Promise<string> | null = null

/**
 * What is wrong with a new password, or null. Length counts, composition does not. `about` are
 * names that others know: of the person, the sign-in and the nursery.
 */
export function passwordProblem(password: string, about: readonly string[]): string | null {
  const length = [...password].length
  if (length < PASSWORD_LEAST) {
    return `the password has ${length} characters: take at least ${PASSWORD_LEAST}, like a sentence`
  }
  if (length > PASSWORD_MOST)
    return `the password has ${length} characters: at most ${PASSWORD_MOST}`
  if (/[\p{Cc}\p{Cs}]/u.test(password)) {
    return 'the password holds a character that cannot be typed: take letters, digits and signs'
  }
  const small = password.normalize('NFC').toLowerCase()
  if (isCommonPassword(small) || isPattern(small)) {
    return 'this password is among those tried first: take one of your own, like a sentence'
  }
  const names = about.map(bare).filter((name) => name.length >= 3)
  const rest = names.reduce((text, name) => text.replaceAll(name, ''), bare(small))
  if (rest.length < 5 && names.some((name) => bare(small).includes(name))) {
    return 'this password is little more than a name that others know: take one of your own'
  }
  return null
}

/** One short piece said again and again, or characters in a row like 23456 or cdefg. */
function isPattern(text: string): boolean {
  const characters = [...text]
  for (let length = 1; length <= 4; length += 1) {
    if (characters.every((character, nr) => character === characters[nr % length])) return true
  }
  const steps = characters.slice(1).map((character, nr) => {
    return (character.codePointAt(0) ?? 0) - (characters[nr]?.codePointAt(0) ?? 0)
  })
  return steps.every((step) => step === 1) || steps.every((step) => step === -1)
}

/** Letters and digits alone, without accents, in lower case. */
function bare(text: string): string {
  return text
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, '')
}
