/** @jsxImportSource preact */
// Asks where wood goes or who gets it: by a tag, or from what the phone knows.
import { useState } from 'preact/hooks'
import type { AccountShape } from '#wire/basics.ts'
import type { Found, Phone, PhonePlace } from '../../phone.ts'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { crews } from '../held.ts'

interface PlaceStepProps {
  readonly phone: Phone
  readonly title: string
  readonly onPlace: (place: PhonePlace) => unknown
  readonly onBack: () => void
}

/** A place that wood can lie in; a tank takes it only as a bath. */
export function PlaceStep({ phone, title, onPlace, onBack }: PlaceStepProps) {
  const t = useSpeaker()
  const places = phone.snapshot.places().filter((place) => place.placeKind !== 'tank')
  const fits = (found: Found) => {
    const place = placeOf(found, phone)
    if (place === null) return t.say('who.notAPlace')
    return place.placeKind !== 'tank' || t.say('who.tank')
  }
  const take = (found: Found) => {
    const place = placeOf(found, phone)
    return place === null ? undefined : onPlace(place)
  }
  return (
    <>
      <StepHeader title={title} />
      <ScanNext phone={phone} ask={t.say('move.scanPlace')} fits={fits} onFound={take} />
      <div class="choices">
        {places.map((place) => (
          <BigButton
            key={place.id}
            detail={insideWords(place, phone)}
            onPress={() => onPlace(place)}
          >
            {place.name}
          </BigButton>
        ))}
      </div>
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** The place that a read leads to, or null. */
export function placeOf(found: Found | null, phone: Phone): PhonePlace | null {
  if (found === null || found.what !== 'thing' || found.thing.kind !== 'place') return null
  return phone.snapshot.place(found.thing.id)
}

function insideWords(place: PhonePlace, phone: Phone): string | undefined {
  const { insidePlaceId } = place
  return insidePlaceId === null ? undefined : (phone.snapshot.nameOf(insidePlaceId) ?? undefined)
}

interface HolderStepProps {
  readonly phone: Phone
  readonly title: string
  /** Whether the person with this phone may be chosen. */
  readonly withMe: boolean
  readonly onHolder: (holderId: string) => unknown
  readonly onBack: () => void
}

/** A person or a crew. */
export function HolderStep({ phone, title, withMe, onHolder, onBack }: HolderStepProps) {
  const t = useSpeaker()
  const { personId } = phone.settings
  const people = phone.snapshot.people.filter(({ id }) => id !== personId)
  return (
    <>
      <StepHeader title={title} />
      <div class="fill" />
      <div class="choices">
        {withMe && personId !== null ? (
          <BigButton look="main" onPress={() => onHolder(personId)}>
            {t.say('who.me')}
          </BigButton>
        ) : null}
        {crews(phone.snapshot).map(({ id, name }) => (
          <BigButton key={id} detail={t.say('who.crew')} onPress={() => onHolder(id)}>
            {name}
          </BigButton>
        ))}
        {people.map(({ id, name }) => (
          <BigButton key={id} detail={t.say('who.person')} onPress={() => onHolder(id)}>
            {name}
          </BigButton>
        ))}
      </div>
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface AccountStepProps extends Omit<PlaceStepProps, 'onPlace'> {
  readonly onAccount: (account: AccountShape) => unknown
}

/** A place, or somebody's hands: one's own in one tap. */
export function AccountStep({ phone, title, onAccount, onBack }: AccountStepProps) {
  const t = useSpeaker()
  const [asked, setAsked] = useState<'place' | 'hands' | null>(null)
  const { personId } = phone.settings
  const back = () => setAsked(null)
  if (asked === 'place') {
    const place = ({ id }: PhonePlace) => onAccount({ kind: 'place', id })
    return <PlaceStep {...{ phone, title }} onPlace={place} onBack={back} />
  }
  if (asked === 'hands') {
    const holder = (id: string) => onAccount({ kind: 'holder', id })
    return <HolderStep {...{ phone, title }} withMe={false} onHolder={holder} onBack={back} />
  }
  return (
    <>
      <StepHeader title={title} />
      <Actions>
        <BigButton onPress={() => setAsked('hands')}>{t.say('who.hands')}</BigButton>
        <BigButton onPress={() => setAsked('place')}>{t.say('who.places')}</BigButton>
        {personId === null ? null : (
          <BigButton look="main" onPress={() => onAccount({ kind: 'holder', id: personId })}>
            {t.say('who.me')}
          </BigButton>
        )}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
