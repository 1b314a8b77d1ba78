// Passwords that are tried first everywhere: a published list, and our own trade's first guesses.
import { dictionary } from '@zxcvbn-ts/language-common'

/** Guesses that a list from elsewhere lacks: this trade, and years to come; from memory. */
const ofTheTrade = `
vineyard grapevine grapevines vineyards nursery budwood rootstock scion canemark viñedo vivero
injerto contraseña contrasena bienvenido correcthorsebatterystaple changemenow letmeinnow
thepassword welcomehome superuser qwertz qwertzuiop asdfasdf abcdef abc iloveyouforever willkommen
0123456789 1231231234 0987654321
`

/** About 49,000 passwords in lower case, from leaked ones by how often they were used (MIT). */
const published = dictionary['passwords-common'] ?? []

const common: ReadonlySet<string> = new Set([...published, ...ofTheTrade.trim().split(/\s+/)])

/**
 * Is `password` (in lower case) one of those tried first, alone or dressed up: with digits and
 * signs before or after it, written twice, or with digits in place of letters?
 */
export function isCommonPassword(password: string): boolean {
  const bare = withoutEnds(password)
  const guesses = [password, bare, withoutEnds(asLetters(password)), asLetters(bare)]
  return guesses.some((guess) => guess.length > 1 && (common.has(guess) || isCommonTwice(guess)))
}

function withoutEnds(text: string): string {
  return text.replace(/^[^\p{L}]+|[^\p{L}]+$/gu, '')
}

/** Digits and signs as the letters that they commonly stand for. */
function asLetters(text: string): string {
  return text
    .replace(/[@4]/g, 'a')
    .replace(/3/g, 'e')
    .replace(/[1!]/g, 'i')
    .replace(/0/g, 'o')
    .replace(/[$5]/g, 's')
    .replace(/7/g, 't')
}

function isCommonTwice(text: string): boolean {
  const half = text.slice(0, text.length / 2)
  return half + half === text && common.has(half)
}
