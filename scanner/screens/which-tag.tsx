/** @jsxImportSource preact */
// Several tags are in view: asks which is meant, and never guesses.
import { formatTagCode } from '#trade/tag-code.ts'
import type { Found, Phone } from '../phone.ts'
import type { Speaker } from '../words/speaker.ts'
import { foundProblem, shortened } from './found-words.ts'
import { BigButton, StepHeader } from './parts.tsx'
import { useSpeaker } from './speak.tsx'
import { foundTitle, lotOf, woodWords } from './thing-words.ts'

interface WhichTagProps {
  readonly phone: Phone
  readonly texts: readonly string[]
  readonly onChoose: (text: string) => void
  readonly onNone: () => void
}

/** One button a tag, with what it stands for and its code. */
export function WhichTag({ phone, texts, onChoose, onNone }: WhichTagProps) {
  const speaker = useSpeaker()
  return (
    <div class="which">
      <StepHeader title={speaker.say('which.title')} about={speaker.say('which.about')} />
      <div class="choices">
        {texts.map((text) => {
          const found = phone.snapshot.find(text)
          return (
            <BigButton
              key={text}
              detail={detailOf(found, text, phone, speaker)}
              onPress={() => onChoose(text)}
            >
              {foundTitle(found, phone, speaker)}
            </BigButton>
          )
        })}
        <BigButton look="quiet" onPress={onNone}>
          {speaker.say('which.none')}
        </BigButton>
      </div>
    </div>
  )
}

function detailOf(found: Found, text: string, phone: Phone, speaker: Speaker): string {
  if (found.what !== 'thing') return foundProblem(found, phone, speaker)?.what ?? shortened(text)
  const lot = lotOf(found, phone)
  const code = formatTagCode(found.code)
  return lot === null ? code : `${woodWords(lot, speaker)} · ${code}`
}
