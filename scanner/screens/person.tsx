/** @jsxImportSource preact */
// Who works with this phone now: chosen by one tap, changed as quickly.
import { useState } from 'preact/hooks'
import type { Phone } from '../phone.ts'
import { ScreenFrame } from './frame.tsx'
import { Actions, BigButton, StepHeader, TextField } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

/** More names than this get a line to find one. */
const SEARCH_FROM = 8

interface PersonScreenProps {
  readonly phone: Phone
  readonly onChosen: () => void
  /** Shown inside the app, which has its main element and a way back. */
  readonly inside?: boolean
}

export function PersonScreen({ phone, onChosen, inside = false }: PersonScreenProps) {
  const speaker = useSpeaker()
  const [wanted, setWanted] = useState('')
  const { people } = phone.snapshot
  const part = wanted.trim().toLocaleLowerCase()
  const shown = people.filter(({ name }) => name.toLocaleLowerCase().includes(part))
  const choose = async (personId: string) => {
    await phone.change({ personId })
    onChosen()
  }
  const screen = (
    <>
      <StepHeader title={speaker.say('person.title')} about={speaker.say('person.about')} />
      {people.length === 0 ? <p>{speaker.say('person.none')}</p> : null}
      {people.length > SEARCH_FROM ? (
        <TextField label={speaker.say('person.search')} value={wanted} onInput={setWanted} />
      ) : null}
      <div class="fill" />
      <div class="choices">
        {shown.map(({ id, name }) => (
          <BigButton key={id} pressed={phone.settings.personId === id} onPress={() => choose(id)}>
            {name}
          </BigButton>
        ))}
      </div>
      <Actions>
        {people.length === 0 ? (
          <BigButton look="main" onPress={() => phone.sync()}>
            {speaker.say('unsent.send')}
          </BigButton>
        ) : null}
        {inside ? <BigButton onPress={onChosen}>{speaker.say('part.back')}</BigButton> : null}
      </Actions>
    </>
  )
  return inside ? screen : <ScreenFrame>{screen}</ScreenFrame>
}
