/** @jsxImportSource preact */
// What the last tap saved; of two taps at once the second waits for a word.
import { BigButton, Toast } from '../screens/parts.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import type { Taps } from './taps.ts'

interface TapSaidProps {
  readonly taps: Pick<Taps<unknown>, 'said' | 'held' | 'meant'>
  /** The number of the vine in front, as the person counts. */
  readonly vine: number
}

/** Stands right above the button that was tapped, where the eye still is. */
export function TapSaid({ taps, vine }: TapSaidProps) {
  const t = useSpeaker()
  if (taps.held === null) return <Toast words={taps.said} />
  return (
    <div class="note-line" role="status">
      <p>{t.say('row.doubleTap')}</p>
      <div class="row">
        <BigButton onPress={() => taps.meant(true)}>{t.say('row.doubleMeant', { vine })}</BigButton>
        <BigButton look="quiet" onPress={() => taps.meant(false)}>
          {t.say('row.doubleNot')}
        </BigButton>
      </div>
    </div>
  )
}
