/** @jsxImportSource preact */
// The first start: language, units and hand, and the browser's promise to keep the entries.
import { ScreenFrame } from './frame.tsx'
import { useState } from 'preact/hooks'
import type { Language, Phone } from '../phone.ts'
import { Actions, BigButton, ChoiceList, StepHeader } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

const STEPS = 3

export const LANGUAGES: readonly { readonly id: Language; readonly words: string }[] = [
  { id: 'en', words: 'English' },
  { id: 'es', words: 'Español' },
]

/** Three short steps; each choice is kept as soon as it is made. */
export function FirstStart({ phone, onDone }: { phone: Phone; onDone: () => void }) {
  const speaker = useSpeaker()
  const [step, setStep] = useState(1)
  const next = () => (step < STEPS ? setStep(step + 1) : onDone())
  return (
    <ScreenFrame>
      {step === 1 ? (
        <>
          <StepHeader title={speaker.say('start.language')} step={1} of={STEPS} />
          <div class="fill" />
          <LanguageChoice phone={phone} />
        </>
      ) : step === 2 ? (
        <>
          <StepHeader title={speaker.say('start.layout')} step={2} of={STEPS} />
          <div class="fill" />
          <UnitsAndHand phone={phone} />
        </>
      ) : (
        <>
          <StepHeader title={speaker.say('start.keep')} step={3} of={STEPS} />
          <p>{speaker.say('start.keep.about')}</p>
          <p>{speaker.say('start.keep.install')}</p>
          <div class="fill" />
          <KeepPromise phone={phone} />
        </>
      )}
      <Actions>
        <BigButton look="main" onPress={next}>
          {speaker.say('part.next')}
        </BigButton>
      </Actions>
    </ScreenFrame>
  )
}

export function LanguageChoice({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  return (
    <ChoiceList
      label={speaker.say('start.language')}
      choices={LANGUAGES.map(({ id, words }) => ({ id, words, lang: id }))}
      chosen={phone.settings.language}
      onChoose={(language) => phone.change({ language })}
    />
  )
}

export function UnitsAndHand({ phone }: { phone: Phone }) {
  const { say } = useSpeaker()
  const { tempUnit, lengthUnit, hand } = phone.settings
  return (
    <>
      <ChoiceList
        inRow
        label={say('start.temperature')}
        choices={[
          { id: 'C', words: say('start.celsius') },
          { id: 'F', words: say('start.fahrenheit') },
        ]}
        chosen={tempUnit}
        onChoose={(chosen) => phone.change({ tempUnit: chosen })}
      />
      <ChoiceList
        inRow
        label={say('start.lengths')}
        choices={[
          { id: 'mm', words: say('start.millimetres') },
          { id: 'in', words: say('start.inches') },
        ]}
        chosen={lengthUnit}
        onChoose={(chosen) => phone.change({ lengthUnit: chosen })}
      />
      <ChoiceList
        inRow
        label={say('start.hand')}
        choices={[
          { id: 'left', words: say('start.left') },
          { id: 'right', words: say('start.right') },
        ]}
        chosen={hand}
        onChoose={(chosen) => phone.change({ hand: chosen })}
      />
    </>
  )
}

/** Asks the browser to keep the store, and says what it answered. */
function KeepPromise({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  const [answer, setAnswer] = useState<boolean | null>(phone.storage.persisted ? true : null)
  const ask = async () => setAnswer(await askToKeep())
  if (answer === true) {
    return (
      <p class="good" role="status">
        ✓ {speaker.say('start.keep.promised')}
      </p>
    )
  }
  return (
    <>
      <p class={answer === false ? 'note' : ''} role="status">
        {answer === false ? speaker.say('start.keep.refused') : ''}
      </p>
      <BigButton onPress={ask}>{speaker.say('start.keep.ask')}</BigButton>
    </>
  )
}

async function askToKeep(): Promise<boolean> {
  try {
    return await navigator.storage.persist()
  } catch {
    // Browsers without the question, and pages without https, promise nothing.
    return false
  }
}
