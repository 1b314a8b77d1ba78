/** @jsxImportSource preact */
// What may be added to a check before the tap that saves it: shoot length, photo, note.
import { useRef, useState } from 'preact/hooks'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader, TextField } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { shrunkPhoto } from './shrink-photo.ts'

export interface Extras {
  readonly shootLengthMm: number | null
  readonly photo: Blob | null
  readonly note: string
}

export const noExtras: Extras = { shootLengthMm: null, photo: null, note: '' }

/** Longest shoot that a check takes, in millimetres. */
const SHOOT_LIMIT_MM = 10_000
const MM_PER_INCH = 25.4

interface AddToCheckProps {
  readonly vine: number
  readonly extras: Extras
  readonly onExtras: (extras: Extras) => void
  readonly onShoot: () => void
  readonly onNote: () => void
  /** Null where there is one bud only, or buds are told apart already. */
  readonly onBudByBud: (() => void) | null
  readonly onBack: () => void
}

/** What may be added before the tap that saves; what is added carries a tick. */
export function AddToCheck(props: AddToCheckProps) {
  const { vine, extras, onExtras, onShoot, onNote, onBudByBud, onBack } = props
  const t = useSpeaker()
  const { shootLengthMm, note } = extras
  return (
    <>
      <StepHeader title={t.say('take.addHow', { vine })} />
      <Actions>
        {onBudByBud === null ? null : (
          <BigButton onPress={onBudByBud}>{t.say('take.budByBud')}</BigButton>
        )}
        <BigButton
          pressed={shootLengthMm !== null}
          detail={shootLengthMm === null ? undefined : t.length(shootLengthMm)}
          onPress={onShoot}
        >
          {t.say('take.shoot')}
        </BigButton>
        <BigButton pressed={note !== ''} onPress={onNote}>
          {t.say('take.note')}
        </BigButton>
        <PhotoButton extras={extras} onExtras={onExtras} />
        <BigButton look="quiet" onPress={onBack}>
          {t.say('row.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface ExtraProps {
  readonly vine: number
  readonly extras: Extras
  readonly onExtras: (extras: Extras) => void
  readonly onBack: () => void
}

/** Asks for the longest shoot in the person's unit; whole millimetres are kept. */
export function ShootLength({ vine, extras, onExtras, onBack }: ExtraProps) {
  const t = useSpeaker()
  const inches = t.settings.lengthUnit === 'in'
  const [shown, setShown] = useState<number | null>(null)
  const max = Math.floor(inches ? SHOOT_LIMIT_MM / MM_PER_INCH : SHOOT_LIMIT_MM)
  const fits = shown === null || shown <= max
  const keep = () => {
    onExtras({ ...extras, shootLengthMm: shown === null ? null : t.lengthMmOf(shown) })
    onBack()
  }
  return (
    <>
      <StepHeader title={t.say('take.shootHow', { vine })} />
      <NumberPad
        label={t.say('take.shoot')}
        value={shown}
        max={max}
        unit={t.settings.lengthUnit}
        onChange={setShown}
      />
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={keep}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

export function CheckNote({ vine, extras, onExtras, onBack }: ExtraProps) {
  const t = useSpeaker()
  const [note, setNote] = useState(extras.note)
  const keep = () => {
    onExtras({ ...extras, note: note.trim().normalize('NFC') })
    onBack()
  }
  return (
    <>
      <StepHeader title={t.say('take.noteHow', { vine })} />
      <TextField label={t.say('take.note')} value={note} long maxLength={500} onInput={setNote} />
      <Actions>
        <BigButton look="main" onPress={keep}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** Opens the phone's own camera app. */
function PhotoButton({ extras, onExtras }: Pick<ExtraProps, 'extras' | 'onExtras'>) {
  const t = useSpeaker()
  const field = useRef<HTMLInputElement>(null)
  const taken = async () => {
    const photo = field.current?.files?.[0] ?? null
    if (photo !== null) onExtras({ ...extras, photo: await shrunkPhoto(photo) })
  }
  return (
    <>
      <input
        ref={field}
        class="unseen"
        type="file"
        accept="image/*"
        capture="environment"
        tabIndex={-1}
        aria-hidden="true"
        onChange={() => void taken()}
      />
      <BigButton pressed={extras.photo !== null} onPress={() => field.current?.click()}>
        {t.say('take.photo')}
      </BigButton>
    </>
  )
}
