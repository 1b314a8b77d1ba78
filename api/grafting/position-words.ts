// Reads lists like “4 too thin; 17, 20 to 22 missing”: positions with words about them.
import { checkText } from '#trade/text-safety.ts'
import { readPositionList } from '../nursery/position-list.ts'

/** Positions and what was written about them. */
export type PositionWords = { positions: number[]; words: string }

export type PositionWordsRead =
  { ok: true; parts: PositionWords[] } | { ok: false; message: string }

const partShape = /^((?:\d+(?:\s*(?:[-\u2010-\u2015\u2212]|\bto\b)\s*\d+)?[\s,]*)+)[:.\s]*(.*)$/isu

/**
 * Reads parts separated by semicolons or line breaks. Each begins with positions and goes on in
 * words; the same position may not come twice. An empty text has no parts.
 */
export function readPositionWords(text: string, example: string): PositionWordsRead {
  const parts: PositionWords[] = []
  const seen = new Set<number>()
  for (const written of text.split(/[;\r\n]+/)) {
    const part = written.trim()
    if (part === '') continue
    const match = partShape.exec(part)
    if (match === null) return wrong(`“${part}” does not begin with a position: ${example}`)
    const list = readPositionList((match[1] ?? '').trim())
    if (!list.ok) return wrong(`“${part}”: ${list.message} ${list.remedy}`)
    const said = match[2] ?? ''
    if (said === '') return wrong(`“${part}” says no more than the position: ${example}`)
    const words = checkText(said, 'text')
    if (!words.ok) return wrong(`“${part}”: ${words.remedy}`)
    for (const position of list.value) {
      if (seen.has(position)) return wrong(`position ${position} is listed twice: keep one`)
      seen.add(position)
    }
    parts.push({ positions: list.value, words: words.value })
  }
  return { ok: true, parts }
}

function wrong(message: string): PositionWordsRead {
  return { ok: false, message }
}
