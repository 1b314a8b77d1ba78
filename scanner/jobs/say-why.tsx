/** @jsxImportSource preact */
// Asks for a reason or a name: the usual ones in one tap, anything else typed.
import { useState } from 'preact/hooks'
import { Actions, BigButton, StepHeader, TextField } from '../screens/parts.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import { shownWords, typedWords } from './said.ts'

interface SayWhyProps {
  readonly title: string
  readonly about?: string | undefined
  /** A caution that stands above the choice. */
  readonly caution?: string | undefined
  /** In the words of the record; shown in the person's language where they are ours. */
  readonly offered: readonly string[]
  /** Given what is to be kept, in the words of the record. */
  readonly onSay: (kept: string) => unknown
  readonly onBack: () => void
  readonly maxLength?: number
}

/** One tap for what is offered; the rest is typed. */
export function SayWhy(props: SayWhyProps) {
  const { title, about, caution, offered, onSay, onBack, maxLength = 120 } = props
  const t = useSpeaker()
  const [typed, setTyped] = useState<string | null>(null)
  if (typed !== null) {
    const kept = typedWords(typed)
    const save = () => (kept === '' ? undefined : onSay(kept))
    return (
      <>
        <StepHeader title={title} about={about} />
        <TextField
          label={t.say('said.typeIt')}
          value={typed}
          maxLength={maxLength}
          onInput={setTyped}
          onEnter={save}
        />
        <Actions>
          <BigButton look="main" disabled={kept === ''} onPress={save}>
            {t.say('part.next')}
          </BigButton>
          <BigButton look="quiet" onPress={() => setTyped(null)}>
            {t.say('part.back')}
          </BigButton>
        </Actions>
      </>
    )
  }
  return (
    <>
      <StepHeader title={title} about={about} />
      {caution === undefined ? null : <p class="caution-line">{caution}</p>}
      <Actions>
        <div class="two-columns">
          {offered.map((kept) => (
            <BigButton key={kept} onPress={() => onSay(kept)}>
              {shownWords(kept, t)}
            </BigButton>
          ))}
          <BigButton onPress={() => setTyped('')}>{t.say('said.other')}</BigButton>
        </div>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
