// Hears a Bluetooth or USB reader that types: a burst of keys that ends with Enter or Tab.
import { useEffect, useRef } from 'preact/hooks'

/** A pause longer than this between two keys is a person typing, in milliseconds. */
const BURST_PAUSE_MS = 80
/** Fewer keys than this are no tag. */
const BURST_LENGTH_MIN = 6
/** Most keys that are kept of one burst. */
const BURST_LENGTH_LIMIT = 5000

/** Collects keys into bursts; told each key with its time, it gives a text when one ends. */
export class BurstReader {
  #keys = ''
  #lastMs = Number.NEGATIVE_INFINITY

  /** @returns the text of a burst that this key ends, else null */
  take(key: string, atMs: number): string | null {
    if (atMs - this.#lastMs > BURST_PAUSE_MS) this.#keys = ''
    this.#lastMs = atMs
    if (key === 'Enter' || key === 'Tab') {
      const text = this.#keys
      this.#keys = ''
      return text.length >= BURST_LENGTH_MIN ? text : null
    }
    if ([...key].length === 1 && this.#keys.length < BURST_LENGTH_LIMIT) this.#keys += key
    return null
  }
}

/**
 * Calls back with what a typing reader sent, wherever the focus is, except inside a field: there
 * its keys and its Enter arrive as if typed by hand.
 */
export function useTypingReader(onText: (text: string) => void): void {
  const heard = useRef(onText)
  heard.current = onText
  useEffect(() => {
    const burst = new BurstReader()
    const listen = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.altKey || event.metaKey) return
      const target = event.target
      if (target instanceof HTMLElement && target.matches('input, textarea, select')) return
      const text = burst.take(event.key, event.timeStamp)
      if (text === null) return
      // Enter must not press the button that happens to have the focus.
      event.preventDefault()
      event.stopPropagation()
      heard.current(text)
    }
    document.addEventListener('keydown', listen, { capture: true })
    return () => document.removeEventListener('keydown', listen, { capture: true })
  }, [])
}
