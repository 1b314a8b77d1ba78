// The sentence and the advice of a judgement's reason, in the person's language.
import { reasonInEnglish, VERDICT_WORDS_EN } from '#trade/judge-words.en.ts'
import type { NameOf } from '#trade/judge-words.en.ts'
import { reasonInSpanish, VERDICT_WORDS_ES } from '#trade/judge-words.es.ts'
import type { Reason, Verdict } from '#trade/reasons.ts'
import type { Language, Snapshot } from '../phone.ts'
import type { Speaker } from './speaker.ts'

/** What a reason says and what to do; names come from what the phone knows. */
export function reasonIn(
  language: Language,
  reason: Reason,
  snapshot: Pick<Snapshot, 'nameOf'>,
): { readonly sentence: string; readonly todo: string } {
  // Health agents are written by name; of other things without a name the id's beginning is shown.
  const nameOf: NameOf = (kind, id) =>
    kind === 'agent' ? id : (snapshot.nameOf(id) ?? id.slice(0, 8))
  return language === 'es' ? reasonInSpanish(reason, nameOf) : reasonInEnglish(reason, nameOf)
}

/** A sentence of a reason with its temperatures in the person's unit; degree days stay as told. */
export function inOwnUnits(sentence: string, speaker: Speaker): string {
  if (speaker.settings.tempUnit === 'C') return sentence
  return sentence.replace(/(-?\d+(?:\.\d+)?) °C(?! days)/g, (_, degrees: string) =>
    speaker.temp(Number(degrees)),
  )
}

/** Ready, caution or stop, as a word. */
export function verdictIn(language: Language, verdict: Verdict): string {
  return (language === 'es' ? VERDICT_WORDS_ES : VERDICT_WORDS_EN)[verdict]
}
