// What kind of text a symbol gave: a tag, ours or another nursery's, a handover, or foreign.
import { isTagCode, parseTagInput } from '#trade/tag-code.ts'

/**
 * `tag`: exactly as a tag of this kind is printed, check character right, ours or another
 * nursery's. `handover`: what one phone shows to another. `foreign`: anything else, misreads too.
 */
export type TextKind = 'tag' | 'handover' | 'foreign'

/**
 * How a handover's text begins. The whole form is in `#wire/handover.ts`, which would bring its
 * schema library into the decoding worker; a test holds the two together.
 */
const HANDOVER_START = /^CANEMARK-HANDOVER-\d+:/

/**
 * What a symbol's text is. Stricter than what a person may type: a printed symbol holds capitals
 * without groups, so anything looser is no sure read and is treated as foreign text.
 */
export function kindOfText(text: string): TextKind {
  if (tagCodeIn(text) !== null) return 'tag'
  return HANDOVER_START.test(text) ? 'handover' : 'foreign'
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
