/** @jsxImportSource preact */
// Enrolment: the office's code comes by its symbol, by the address, or typed.
import { ScreenFrame } from './frame.tsx'
import { useState } from 'preact/hooks'
import { ENROL_CODE_LENGTH, inGroups } from '#wire/api-enrol.ts'
import type { EnrolAnswer, Phone } from '../phone.ts'
import type { PlainKey } from '../words/say.ts'
import { enrolCodeIn } from './enrol-code.ts'
import { CameraView } from './reader.tsx'
import { Actions, BigButton, StepHeader, TextField, Trouble } from './parts.tsx'
import { giveSignal } from './signals.ts'
import { useSpeaker } from './speak.tsx'

type EnrolTrouble = Exclude<EnrolAnswer['result'], 'enrolled'>

const WORDS: Readonly<Record<EnrolTrouble, readonly [what: PlainKey, todo: PlainKey]>> = {
  'wrong code': ['enrol.wrong.what', 'enrol.wrong.todo'],
  'no network': ['enrol.noNetwork.what', 'enrol.noNetwork.todo'],
  'server trouble': ['enrol.serverTrouble.what', 'enrol.serverTrouble.todo'],
  'too many tries': ['enrol.tooMany.what', 'enrol.tooMany.todo'],
}

interface EnrolScreenProps {
  readonly phone: Phone
  /** The code that came with the address; typed in already, but sent only by a press. */
  readonly firstCode: string | null
}

export function EnrolScreen({ phone, firstCode }: EnrolScreenProps) {
  const speaker = useSpeaker()
  const [typed, setTyped] = useState(firstCode === null ? '' : inGroups(firstCode))
  const [trouble, setTrouble] = useState<EnrolTrouble | null>(null)
  const [isForeign, setForeign] = useState(false)
  const code = enrolCodeIn(typed)
  const take = (text: string) => {
    const read = enrolCodeIn(text)
    setForeign(read === null)
    giveSignal(read === null ? 'stop' : 'done')
    if (read !== null) setTyped(inGroups(read))
  }
  const enrol = async () => {
    setForeign(code === null)
    if (code === null) return
    const answer = await phone.enrol(code)
    setTrouble(answer.result === 'enrolled' ? null : answer.result)
  }
  return (
    <ScreenFrame>
      <StepHeader title={speaker.say('enrol.title')} about={speaker.say('enrol.about')} />
      {firstCode === null ? (
        <CameraView
          ask={speaker.say('enrol.ask')}
          onText={take}
          onSeveral={(texts) => take(texts.find((text) => enrolCodeIn(text) !== null) ?? '')}
        />
      ) : (
        <div class="fill" />
      )}
      {trouble === null ? null : (
        <Trouble what={speaker.say(WORDS[trouble][0])} todo={speaker.say(WORDS[trouble][1])} />
      )}
      {isForeign ? (
        <Trouble
          what={speaker.say('enrol.notOne.what')}
          todo={speaker.say('enrol.notOne.todo', { length: ENROL_CODE_LENGTH })}
        />
      ) : null}
      <Actions>
        <TextField
          code
          label={speaker.say('enrol.typed')}
          value={typed}
          maxLength={120}
          onInput={setTyped}
          onEnter={() => void enrol()}
        />
        <BigButton look="main" onPress={enrol}>
          {speaker.say('enrol.send')}
        </BigButton>
      </Actions>
    </ScreenFrame>
  )
}
