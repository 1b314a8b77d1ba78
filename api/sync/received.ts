// Reads the body of a push into its entries, each with the exact text in which it was sent.
import { BATCH_LIMIT, ENTRY_DEPTH_LIMIT, PushBatch } from '#wire/api-entries.ts'
import type { Received } from '../journal/ingest.ts'
import { tooDeep } from '../journal/read-entry.ts'
import { refuse } from '../platform/errors.ts'

/**
 * Reads `bytes` as `{ "entries": [ … ] }`. What is wrong inside one entry is left to the journal,
 * which sets that entry aside; an entry that nests too deep is not even parsed.
 * Refuses, before anything is written: with 400 `not_utf8` or `not_json` what is no JSON text,
 * with 422 `bad_batch` what is JSON but no batch, naming each field.
 */
export function readBatch(bytes: Uint8Array): Received[] {
  const text = decode(bytes)
  const scan = scanElements(text)
  if (scan.outsideDepth > ENTRY_DEPTH_LIMIT) refuse('bad_batch', batchShape)
  if (scan.isCutOff) notJson('it ends within the list of entries')
  const batch = PushBatch.safeParse(parse(withoutDeep(text, scan.elements)))
  if (!batch.success) {
    const fields = batch.error.issues.map((issue) => ({
      field: issue.path.join('.') || 'body',
      message: issue.message,
    }))
    refuse('bad_batch', `${fields[0]?.message ?? 'unreadable'}; ${batchShape}`, { fields })
  }
  const { entries } = batch.data
  if (scan.lists !== 1 || scan.elements.length !== entries.length) {
    refuse('bad_batch', `"entries" stands there more than once; ${batchShape}`)
  }
  return scan.elements.map((element, nr): Received => {
    const raw = text.slice(element.from, element.to).trim()
    return isDeep(element) ? { value: null, raw, problem: tooDeep() } : { value: entries[nr], raw }
  })
}

const batchShape = 'send one object, { "entries": [ … ] }, and nothing else'

function decode(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return refuse('not_utf8', 'the body is not UTF-8 text; send JSON in UTF-8', { status: 400 })
  }
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch (error) {
    return notJson(error instanceof Error ? error.message : String(error))
  }
}

function notJson(why: string): never {
  refuse('not_json', `the body is not JSON (${why}); ${batchShape}`, { status: 400 })
}

/** One entry's place in the text, and how deep arrays and objects nest in it. */
type Element = { from: number; to: number; depth: number }

/** The elements of the lists one level down; how many lists, the depth around them, an open end. */
type Scan = { elements: Element[]; lists: number; outsideDepth: number; isCutOff: boolean }

const isDeep = (element: Element) => element.depth > ENTRY_DEPTH_LIMIT

/** The text with `null` for each entry that is too deep to be parsed. */
function withoutDeep(text: string, elements: Element[]): string {
  let kept = ''
  let from = 0
  for (const element of elements.filter(isDeep)) {
    kept += `${text.slice(from, element.from)}null`
    from = element.to
  }
  return kept + text.slice(from)
}

/**
 * Finds where the elements of a list one level down begin and end, by counting brackets outside
 * strings. It judges nothing: the text is parsed afterwards. One element over the limit of a batch
 * is told and no more, so that a flood of them takes no room.
 */
function scanElements(text: string): Scan {
  const scan: Scan = { elements: [], lists: 0, outsideDepth: 0, isCutOff: false }
  let depth = 0
  let element: Element | null = null
  const end = (at: number) => {
    if (element === null || scan.elements.length > BATCH_LIMIT) return
    if (text.slice(element.from, at).trim() !== '') scan.elements.push({ ...element, to: at })
  }
  for (let at = 0; at < text.length; at += 1) {
    const character = text[at]
    if (character === '"') at = endOfString(text, at)
    else if (character === '[' || character === '{') {
      depth += 1
      if (element !== null) element.depth = Math.max(element.depth, depth - 2)
      else if (depth === 2 && character === '[') {
        scan.lists += 1
        element = { from: at + 1, to: at, depth: 0 }
      } else scan.outsideDepth = Math.max(scan.outsideDepth, depth)
    } else if (character === ']' || character === '}') {
      depth -= 1
      if (depth > 1) continue
      end(at)
      element = null
    } else if (character === ',' && depth === 2 && element !== null) {
      end(at)
      element = { from: at + 1, to: at, depth: 0 }
    }
  }
  scan.isCutOff = element !== null
  return scan
}

/** The index of the quote that ends the string begun at `at`, or of the text's last character. */
function endOfString(text: string, at: number): number {
  for (let quote = text.indexOf('"', at + 1); quote !== -1; quote = text.indexOf('"', quote + 1)) {
    let backslashes = 0
    while (text[quote - 1 - backslashes] === '\\') backslashes += 1
    if (backslashes % 2 === 0) return quote
  }
  return text.length - 1
}
