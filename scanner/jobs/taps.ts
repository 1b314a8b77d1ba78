// One tap, one entry: a second tap at once is held back until the person says that it was meant.
import { useRef, useState } from 'preact/hooks'
import type { Draft, Written } from '../phone.ts'
import { giveSignal } from '../screens/signals.ts'
import type { Writing } from '../screens/writing.tsx'

/** A second tap within this time is taken for the same one, in milliseconds. */
export const DOUBLE_TAP_MS = 500

/** A tap to be written, and what is said once it is safe on the phone. */
export interface Tap {
  readonly draft: Draft
  readonly said: string
}

export interface Taps<W> {
  /** What was saved last, in words. */
  readonly said: string | null
  /** A tap that came at once after another: not written. */
  readonly held: W | null
  readonly tap: (wish: W) => Promise<void>
  /** Writes the held tap, for what is in front of the person now, or forgets it. */
  readonly meant: (meant: boolean) => Promise<void>
  /** Says something else that was saved, such as a withdrawal. */
  readonly tell: (words: string) => void
}

/**
 * `make` says what a wish comes to for what is on the screen now, or null when it comes to nothing;
 * `onWritten` is called after the entry is safe.
 */
export function useTaps<W>(
  writing: Writing,
  make: (wish: W) => Tap | null,
  onWritten: (written: readonly Written[], draft: Draft) => void,
): Taps<W> {
  const lastTapMs = useRef(Number.NEGATIVE_INFINITY)
  const writingNow = useRef(false)
  const [said, setSaid] = useState<string | null>(null)
  const [held, setHeld] = useState<W | null>(null)
  const save = async (wish: W) => {
    const made = make(wish)
    if (made === null) return
    writingNow.current = true
    try {
      const written = await writing.write(made.draft)
      if (written === null) {
        // Nothing was saved, so the next tap is no second one.
        lastTapMs.current = Number.NEGATIVE_INFINITY
        setSaid(null)
        return
      }
      onWritten(written, made.draft)
      setSaid(made.said)
      giveSignal('done')
    } finally {
      writingNow.current = false
    }
  }
  const tap = async (wish: W) => {
    const nowMs = performance.now()
    const tooSoon = nowMs - lastTapMs.current < DOUBLE_TAP_MS
    lastTapMs.current = nowMs
    if (writingNow.current || tooSoon) {
      setHeld(wish)
      return
    }
    setHeld(null)
    await save(wish)
  }
  const meant = async (yes: boolean) => {
    const wish = held
    setHeld(null)
    if (yes && wish !== null) await save(wish)
  }
  const tell = (words: string) => setSaid(words)
  return { said, held, tap, meant, tell }
}
