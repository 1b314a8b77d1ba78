/** @jsxImportSource preact */
// What the person chose on this phone, and what the phone says of itself.
import { useState } from 'preact/hooks'
import type { Phone } from '../phone.ts'
import { Actions, BigButton, ChoiceList, Facts, StepHeader } from './parts.tsx'
import { giveSignal, signalsOn, switchSignals } from './signals.ts'
import { useSpeaker } from './speak.tsx'
import { LanguageChoice, UnitsAndHand } from './start.tsx'

const BYTES_PER_MB = 1_000_000

export function SettingsScreen({ phone, onBack }: { phone: Phone; onBack: () => void }) {
  const { say } = useSpeaker()
  return (
    <>
      <StepHeader title={say('settings.title')} />
      <LanguageChoice phone={phone} />
      <UnitsAndHand phone={phone} />
      <SignalChoice />
      <section>
        <h2>{say('settings.phone')}</h2>
        <PhoneFacts phone={phone} />
      </section>
      <Actions>
        <BigButton onPress={onBack}>{say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

function SignalChoice() {
  const { say } = useSpeaker()
  const [isOn, setOn] = useState(signalsOn())
  const choose = (id: 'on' | 'off') => {
    switchSignals(id === 'on')
    setOn(id === 'on')
    if (id === 'on') giveSignal('ready')
  }
  return (
    <ChoiceList
      inRow
      label={say('settings.signals')}
      choices={[
        { id: 'on', words: say('settings.on') },
        { id: 'off', words: say('settings.off') },
      ]}
      chosen={isOn ? 'on' : 'off'}
      onChoose={choose}
    />
  )
}

function PhoneFacts({ phone }: { phone: Phone }) {
  const { say } = useSpeaker()
  const { identity, storage } = phone
  const rows: (readonly [string, string])[] = []
  if (identity !== null) {
    rows.push([say('settings.name'), identity.deviceName])
    rows.push([say('settings.fingerprint'), identity.fingerprint])
  }
  rows.push([
    say('settings.storage'),
    say(storage.persisted ? 'settings.kept' : 'settings.notKept'),
  ])
  if (storage.usedBytes !== null && storage.quotaBytes !== null) {
    const used = Math.ceil(storage.usedBytes / BYTES_PER_MB)
    const quota = Math.floor(storage.quotaBytes / BYTES_PER_MB)
    rows.push([say('settings.used'), say('settings.usedOf', { used, quota })])
  }
  return <Facts rows={rows} />
}
