/** @jsxImportSource preact */
// Everything that the phone knows of one thing, reasons and holdings included.
import type { ThingShape } from '#wire/basics.ts'
import type { Phone } from '../../phone.ts'
import { Actions, BigButton, StepHeader } from '../parts.tsx'
import type { Go } from '../route.ts'
import { useSpeaker } from '../speak.tsx'
import { thingAbout, thingTitle } from '../thing-words.ts'
import { LotDetails } from './lot-details.tsx'
import { ThingFacts } from './thing-facts.tsx'

interface LookScreenProps {
  readonly phone: Phone
  readonly thing: ThingShape
  readonly go: Go
}

export function LookScreen({ phone, thing, go }: LookScreenProps) {
  const speaker = useSpeaker()
  const { snapshot } = phone
  const lot =
    thing.kind === 'lot'
      ? snapshot.lot(thing.id)
      : thing.kind === 'bundle'
        ? snapshot.lotOfBundle(thing.id)
        : null
  const code = snapshot.codeOf(thing)
  return (
    <>
      <StepHeader
        title={thingTitle(thing, phone, speaker)}
        about={thingAbout(thing, code, speaker)}
      />
      {lot === null ? (
        <ThingFacts phone={phone} thing={thing} />
      ) : (
        <LotDetails phone={phone} lot={lot} bundleId={thing.kind === 'bundle' ? thing.id : null} />
      )}
      <div class="fill" />
      <Actions>
        <div class="row">
          <BigButton look="quiet" onPress={() => go({ at: 'find' })}>
            {speaker.say('look.title')}
          </BigButton>
          <BigButton onPress={() => go({ at: 'scan' })}>{speaker.say('scan.next')}</BigButton>
        </div>
      </Actions>
    </>
  )
}
