// Vibration and sound for ready, caution and stop: different in rhythm and in pitch.
import type { Verdict } from '#trade/reasons.ts'

export type Signal = Verdict | 'done'

/** Milliseconds of vibration and pause in turn. */
const VIBRATIONS: Readonly<Record<Signal, readonly number[]>> = {
  done: [30],
  ready: [60],
  caution: [120, 80, 120],
  stop: [500, 120, 500],
}

interface Note {
  readonly hertz: number
  readonly atMs: number
  readonly forMs: number
}

/** Rising for ready, the same twice for caution, long and falling for stop. */
const NOTES: Readonly<Record<Signal, readonly Note[]>> = {
  done: [{ hertz: 1320, atMs: 0, forMs: 40 }],
  ready: [
    { hertz: 880, atMs: 0, forMs: 90 },
    { hertz: 1320, atMs: 100, forMs: 120 },
  ],
  caution: [
    { hertz: 660, atMs: 0, forMs: 140 },
    { hertz: 660, atMs: 220, forMs: 140 },
  ],
  stop: [
    { hertz: 440, atMs: 0, forMs: 320 },
    { hertz: 220, atMs: 340, forMs: 520 },
  ],
}

const SETTING = 'canemark.signals'
let audio: AudioContext | null = null

/** Are sound and vibration switched on? They are until somebody switches them off. */
export function signalsOn(): boolean {
  try {
    return localStorage.getItem(SETTING) !== 'off'
  } catch {
    return true
  }
}

export function switchSignals(on: boolean): void {
  try {
    localStorage.setItem(SETTING, on ? 'on' : 'off')
  } catch {
    // A browser that keeps nothing starts with them on.
  }
}

/** Gives a signal; a phone without sound or motor stays silent, for the screen says it as well. */
export function giveSignal(signal: Signal): void {
  if (!signalsOn()) return
  if ('vibrate' in navigator) navigator.vibrate([...VIBRATIONS[signal]])
  playNotes(NOTES[signal])
}

/** Lets later signals be heard; called at the first touch of the screen. */
export function wakeSound(): void {
  try {
    audio ??= new AudioContext()
    if (audio.state === 'suspended') void audio.resume()
  } catch {
    // No sound on this phone.
  }
}

function playNotes(notes: readonly Note[]): void {
  // Notes that are given before the first touch would all sound together at it.
  if (audio?.state !== 'running') return
  for (const note of notes) playNote(audio, note)
}

function playNote(context: AudioContext, note: Note): void {
  const begin = context.currentTime + note.atMs / 1000
  const end = begin + note.forMs / 1000
  const tone = context.createOscillator()
  const loudness = context.createGain()
  tone.type = 'square'
  tone.frequency.value = note.hertz
  loudness.gain.setValueAtTime(0.0001, begin)
  loudness.gain.exponentialRampToValueAtTime(0.25, begin + 0.01)
  loudness.gain.exponentialRampToValueAtTime(0.0001, end)
  tone.connect(loudness).connect(context.destination)
  tone.start(begin)
  tone.stop(end)
}
