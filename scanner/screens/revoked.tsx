/** @jsxImportSource preact */
// The office stopped this phone: what is unsent can still be saved as a file.
import type { Phone } from '../phone.ts'
import { ScreenFrame } from './frame.tsx'
import { Actions, BigButton, StepHeader } from './parts.tsx'
import { ExportButton, SetAsideList, UnsentFacts } from './unsent.tsx'
import { useSpeaker } from './speak.tsx'

export function RevokedScreen({ phone, onEnrol }: { phone: Phone; onEnrol: () => void }) {
  const speaker = useSpeaker()
  return (
    <ScreenFrame>
      <StepHeader title={speaker.say('revoked.title')} about={speaker.say('revoked.about')} />
      <UnsentFacts phone={phone} />
      <SetAsideList phone={phone} />
      <Actions>
        <ExportButton phone={phone} look="main" />
        <BigButton onPress={onEnrol}>{speaker.say('revoked.again')}</BigButton>
      </Actions>
    </ScreenFrame>
  )
}
