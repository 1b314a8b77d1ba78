// Checks names and free text that people type, so that what is seen is what is stored.

export type TextKind = 'name' | 'text'

export type TextProblem =
  | 'empty'
  | 'too_long'
  | 'control'
  | 'bidi'
  | 'zero_width'
  | 'lone_surrogate'
  | 'private_use'
  | 'mixed_scripts'

export type TextResult =
  | { readonly ok: true; readonly value: string }
  | {
      readonly ok: false
      readonly problem: TextProblem
      /** Which character as typed, counted in code points from 1; null for the whole text. */
      readonly at: number | null
      /** Such as 'U+202E'; null for the whole text. */
      readonly codePoint: string | null
      /** What to do, in English; other languages print their own words for `problem`. */
      readonly remedy: string
    }

/** Most code points that each kind may have, after trimming. */
export const TEXT_LIMITS: Readonly<Record<TextKind, number>> = { name: 80, text: 2000 }

/**
 * Checks one typed text and returns it trimmed and in Unicode normal form C. A name is one line
 * with single plain spaces; a free text keeps its spaces, tabs and line breaks (as line feeds).
 *
 * Refused: control characters, characters that turn the direction of writing, invisible
 * characters (the joiners too: two names must not differ by what nobody sees), private-use and
 * broken characters, and a word that mixes look-alike letters of Latin, Cyrillic and Greek.
 *
 * @param limit most code points; {@link TEXT_LIMITS} unless told
 */
export function checkText(typed: string, kind: TextKind, limit = TEXT_LIMITS[kind]): TextResult {
  // All white space lies in the basic plane, where a code unit is a code point.
  const lead = typed.length - typed.trimStart().length
  const trimmed = typed.trim()
  const characters = Array.from(trimmed)
  for (const [index, character] of characters.entries()) {
    const problem = characterProblem(character, characters[index - 1] ?? '', kind)
    if (problem !== null) return refused(problem, lead + index + 1, character)
  }
  const mixed = mixedScripts(trimmed)
  if (mixed !== null) return refused('mixed_scripts', lead + mixed.index + 1, mixed.letter)
  const value = tidied(trimmed, kind).normalize('NFC')
  const length = Array.from(value).length
  if (length === 0) return refused('empty', null, null)
  if (length > limit) {
    const result = refused('too_long', null, null)
    return { ...result, remedy: `Shorten it to ${limit} characters; it has ${length}.` }
  }
  return { ok: true, value }
}

type Refusal = Extract<TextResult, { ok: false }>

const REMEDIES: Readonly<Record<TextProblem, string>> = {
  empty: 'Type something.',
  too_long: 'Shorten it.',
  control: 'Remove the control character, for instance by typing the text afresh.',
  bidi: 'Remove the hidden mark that turns the direction of writing.',
  zero_width: 'Remove the invisible character, for instance by typing the text afresh.',
  lone_surrogate: 'Remove the broken character, and type it again.',
  private_use: 'Replace the character: it has no agreed meaning and prints differently elsewhere.',
  mixed_scripts: 'Type the whole word in one alphabet: a letter of another looks the same.',
}

function refused(problem: TextProblem, at: number | null, character: string | null): Refusal {
  return { ok: false, problem, at, codePoint: codePointName(character), remedy: REMEDIES[problem] }
}

function codePointName(character: string | null): string | null {
  const value = character?.codePointAt(0)
  if (value === undefined) return null
  return `U+${value.toString(16).toUpperCase().padStart(4, '0')}`
}

/** Marks, embeddings, overrides and isolates: the characters of property Bidi_Control. */
const BIDI = /\p{Bidi_Control}/u
const CONTROL = /[\p{Cc}\u2028\u2029\ufff9-\ufffb]/u
const ALLOWED_IN_TEXT = /[\t\n\r]/
const INVISIBLE = /\p{Default_Ignorable_Code_Point}/u
const EMOJI_STYLE = /[\ufe0e\ufe0f]/
const PICTURE = /\p{Extended_Pictographic}/u

function characterProblem(character: string, before: string, kind: TextKind): TextProblem | null {
  if (/\p{Cs}/u.test(character)) return 'lone_surrogate'
  if (/[\p{Co}\p{Noncharacter_Code_Point}]/u.test(character)) return 'private_use'
  if (BIDI.test(character)) return 'bidi'
  if (kind === 'text' && ALLOWED_IN_TEXT.test(character)) return null
  if (CONTROL.test(character)) return 'control'
  // A phone's keyboard adds this selector to a picture; there it changes nothing but the style.
  if (kind === 'text' && EMOJI_STYLE.test(character) && PICTURE.test(before)) return null
  return INVISIBLE.test(character) ? 'zero_width' : null
}

function tidied(trimmed: string, kind: TextKind): string {
  if (kind === 'name') return trimmed.replace(/\p{Space_Separator}+/gu, ' ')
  return trimmed.replace(/\r\n?/g, '\n')
}

const WORD = /[\p{L}\p{M}]+/gu
const SCRIPTS = [/\p{Script=Latin}/u, /\p{Script=Cyrillic}/u, /\p{Script=Greek}/u] as const
const LATIN = 0
const GREEK = 2

/**
 * Greek letters that no Latin letter resembles, after the confusables of Unicode Technical
 * Standard 39: they may stand beside Latin letters, as in 'μm'.
 */
const PLAINLY_GREEK = /^[ΓΔΘΛΞΠΣΦΨΩδεζθλμξπφψωϑϕ]/u

/** The first letter whose alphabet differs from its word's first, where the two look alike. */
function mixedScripts(text: string): { readonly index: number; readonly letter: string } | null {
  for (const match of text.matchAll(WORD)) {
    const letters = Array.from(match[0])
    const scripts = letters.map((letter) => SCRIPTS.findIndex((script) => script.test(letter)))
    const present = new Set(scripts.filter((script) => script >= 0))
    if (present.size < 2 || isPlainGreekBesideLatin(letters, scripts, present)) continue
    const first = scripts.find((script) => script >= 0)
    const other = scripts.findIndex((script) => script >= 0 && script !== first)
    const before = Array.from(text.slice(0, match.index)).length
    return { index: before + other, letter: letters[other] ?? '' }
  }
  return null
}

function isPlainGreekBesideLatin(
  letters: readonly string[],
  scripts: readonly number[],
  present: ReadonlySet<number>,
): boolean {
  if (present.size !== 2 || !present.has(LATIN) || !present.has(GREEK)) return false
  return letters.every(
    (letter, index) => scripts[index] !== GREEK || PLAINLY_GREEK.test(letter.normalize('NFD')),
  )
}
