/** @jsxImportSource preact */
// The phone waits until the office has compared its fingerprint and lets it in.
import { ScreenFrame } from './frame.tsx'
import { useEffect, useState } from 'preact/hooks'
import type { Phone } from '../phone.ts'
import { Actions, BigButton, StepHeader } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

/** How often the server is asked again while the screen is open, in milliseconds. */
const ASK_EVERY_MS = 10_000

export function WaitingScreen({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  const [asked, setAsked] = useState(false)
  useEffect(() => {
    const timer = setInterval(() => void phone.sync(), ASK_EVERY_MS)
    return () => clearInterval(timer)
  }, [phone])
  const ask = async () => {
    await phone.sync()
    setAsked(true)
  }
  const { identity } = phone
  if (identity === null) return null
  return (
    <ScreenFrame>
      <StepHeader
        title={speaker.say('waiting.title')}
        about={speaker.say('waiting.name', { name: identity.deviceName })}
      />
      <p class="fingerprint" translate={false}>
        {identity.fingerprint}
      </p>
      <p>{speaker.say('waiting.about')}</p>
      <p role="status">{asked ? speaker.say('waiting.still') : ''}</p>
      <Actions>
        <BigButton look="main" onPress={ask}>
          {speaker.say('waiting.again')}
        </BigButton>
      </Actions>
    </ScreenFrame>
  )
}
