// Ready-made reasons and names: kept in English so that a season can be counted, shown as spoken.
import type { PlainKey } from '../words/say.ts'
import type { Speaker } from '../words/speaker.ts'
import { SAID_EN } from './said.en.ts'

type SaidKey = keyof typeof SAID_EN & PlainKey

const KEYS = Object.keys(SAID_EN).filter((key): key is SaidKey => key.startsWith('said.'))

/** What is offered, in the words that are kept, in the order in which it is shown. */
export const SKIP_REASONS = keptUnder('said.skip.')
export const UNDO_REASONS = keptUnder('said.undo.')
export const METHODS = keptUnder('said.method.')
export const TIES = keptUnder('said.tie.')
export const DISINFECTANTS = keptUnder('said.blade.')
export const DISCARD_REASONS = keptUnder('said.discard.')
/** What may be in a bath's water. */
export const WATER_ADDITIONS = [SAID_EN['said.blade.bleach'], SAID_EN['said.blade.peroxy']]
export const WATERS = keptUnder('said.water.')

/** How a kept text is shown: in the person's language if it is one of ours, else as typed. */
export function shownWords(kept: string, t: Speaker): string {
  const key = KEYS.find((candidate) => SAID_EN[candidate] === kept)
  return key === undefined ? kept : t.say(key)
}

/** Something typed, made fit for a record: one line, Unicode form NFC, no space at the ends. */
export function typedWords(text: string): string {
  return text.replace(/\s+/gu, ' ').trim().normalize('NFC')
}

function keptUnder(prefix: string): readonly string[] {
  return KEYS.filter((key) => key.startsWith(prefix)).map((key) => SAID_EN[key])
}
