// Takes in a reader that types: a Bluetooth or USB reader sends a code as fast keys and Enter.

/** Longest gap between two keys of a reader, in ms; people type slower. Own choice, no source. */
export const KEY_GAP_LIMIT_MS = 60
/** Fewest keys before Enter that count as a read: shorter bursts may be a person's. */
export const KEYS_FEWEST = 6
/** Most keys that are kept; more is no code, and the burst is let go. */
export const KEYS_LIMIT = 512

/** One key as the browser reports it. */
export interface Key {
  /** `KeyboardEvent.key`: the character by the layout in force, or a name like Enter. */
  readonly key: string
  readonly atMs: number
  /** True with Ctrl, Alt or Meta held: a command, never part of a code. */
  readonly isCommand: boolean
  /** True while a composing editor or a key held down makes it. */
  readonly isRepeatedOrComposed: boolean
}

/** What a key turned out to be. */
export type KeyAnswer =
  /** Nothing, or not yet. */
  | { readonly is: 'typing' }
  /** The Enter at the end of a reader's burst: it must press nothing on the screen. */
  | { readonly is: 'read'; readonly text: string }

const TYPING: KeyAnswer = { is: 'typing' }

/** Tells a reader's bursts from typing, key by key. Pure: time comes in with the keys. */
export class BurstReader {
  #text = ''
  #keys = 0
  #lastMs = Number.NEGATIVE_INFINITY

  take({ key, atMs, isCommand, isRepeatedOrComposed }: Key): KeyAnswer {
    // Shift comes between the characters of a reader that types capitals.
    if (key === 'Shift' || key === 'CapsLock') return TYPING
    const isFast = atMs - this.#lastMs <= KEY_GAP_LIMIT_MS
    if (isCommand || isRepeatedOrComposed) this.#forget()
    else if (key === 'Enter' || key === 'Tab') return this.#end(isFast)
    else if ([...key].length !== 1) this.#forget()
    else this.#add(key, atMs, isFast)
    return TYPING
  }

  #add(character: string, atMs: number, isFast: boolean): void {
    if (!isFast || this.#keys >= KEYS_LIMIT) this.#forget()
    this.#text += character
    this.#keys += 1
    this.#lastMs = atMs
  }

  #end(isFast: boolean): KeyAnswer {
    const text = this.#text
    const isRead = isFast && this.#keys >= KEYS_FEWEST
    this.#forget()
    return isRead ? { is: 'read', text: withPlainAddress(text) } : TYPING
  }

  #forget(): void {
    this.#text = ''
    this.#keys = 0
    this.#lastMs = Number.NEGATIVE_INFINITY
  }
}

/**
 * Listens for a reader on the whole page. Keys into a text field stay the field's: a reader used
 * while a field has the focus fills that field, as its user sees. Returns how to stop.
 */
export function listenForReader(page: Document, onText: (text: string) => void): () => void {
  const burst = new BurstReader()
  const listener = (event: KeyboardEvent) => {
    if (event.defaultPrevented || takesText(event.target)) return
    const answer = burst.take({
      key: event.key,
      atMs: event.timeStamp,
      isCommand: event.ctrlKey || event.altKey || event.metaKey,
      isRepeatedOrComposed: event.repeat || event.isComposing,
    })
    if (answer.is !== 'read') return
    // Enter would press the button that has the focus.
    event.preventDefault()
    event.stopPropagation()
    onText(answer.text)
  }
  page.addEventListener('keydown', listener, { capture: true })
  return () => page.removeEventListener('keydown', listener, { capture: true })
}

/** Fields that a person may be typing into; buttons and boxes to tick take no text. */
function takesText(target: EventTarget | null): boolean {
  if (!(target instanceof HTMLElement)) return false
  if (target.isContentEditable || target instanceof HTMLTextAreaElement) return true
  if (target instanceof HTMLSelectElement) return true
  const textless = ['button', 'checkbox', 'radio', 'submit', 'reset', 'range', 'color', 'file']
  return target instanceof HTMLInputElement && !textless.includes(target.type)
}

/**
 * Mends an address that a reader set for one layout typed on a phone set for another. A code's
 * letters and digits lie alike on those layouts or are caught by the check character; `:` and
 * `/` do not: HTTPS Ñ-- and the like become HTTPS://.
 */
function withPlainAddress(text: string): string {
  const address =
    /^(https?)[^a-z0-9]{3}([a-z0-9.-]+?(?:[^a-z0-9.-]\d{1,5})?)([^a-z0-9.])(t)\3(\w+)$/i
  const parts = address.exec(text.trim())
  if (parts === null) return text
  const [, scheme = '', host = '', , t = '', code = ''] = parts
  return `${scheme}://${host.replace(/[^a-z0-9.-](?=\d+$)/i, ':')}/${t}/${code}`
}
