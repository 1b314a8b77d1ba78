// What kind of text a symbol gave: one of our tags, another nursery's tag, or something foreign.
import { isTagCode, parseTagInput } from '#trade/tag-code.ts'

/**
 * `tag`: exactly as a tag of this kind is printed, check character right, ours or another
 * nursery's. `other`: anything else, a misread included.
 */
export type TextKind = 'tag' | 'other'

/**
 * Whether a symbol's text is a tag. Stricter than what a person may type: a printed symbol holds
 * capitals without groups, so anything looser is no sure read and is treated as foreign text.
 */
export function kindOfText(text: string): TextKind {
  return tagCodeIn(text) === null ? 'other' : 'tag'
}

/** What makes two texts the same thing: a tag's code, with or without its address, or the text. */
export function sameThingKey(text: string): string {
  const code = tagCodeIn(text)
  return code === null ? `text ${text}` : `tag ${code}`
}

function tagCodeIn(text: string): string | null {
  if (isTagCode(text)) return text
  const input = parseTagInput(text)
  // The address form, but with the code written exactly as it is stored.
  return input.ok && input.host !== null && text.toUpperCase().endsWith(`/T/${input.code}`)
    ? input.code
    : null
}
