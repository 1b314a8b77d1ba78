/** @jsxImportSource preact */
// Asks how much wood a line is; more than the phone knows of is said plainly and confirmed once.
import { useState } from 'preact/hooks'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, ChoiceList, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { piecesWords } from '../scanned-wood.ts'
import { isMore } from './basket.ts'

/** Most pieces that one line takes. */
const PIECE_LIMIT = 100_000

interface Pieces {
  readonly sticks: number
  readonly buds: number
}

interface RecountProps {
  readonly title: string
  readonly known: Pieces
  readonly now: Pieces
  readonly onCounted: (pieces: Pieces) => void
  readonly onBack: () => void
  readonly onLeaveOut?: () => void
}

export function Recount({ title, known, now, onCounted, onBack, onLeaveOut }: RecountProps) {
  const t = useSpeaker()
  const [unit, setUnit] = useState<'sticks' | 'buds'>(
    now.sticks === 0 && now.buds > 0 ? 'buds' : 'sticks',
  )
  const [sticks, setSticks] = useState<number | null>(now.sticks === 0 ? null : now.sticks)
  const [buds, setBuds] = useState<number | null>(now.buds === 0 ? null : now.buds)
  // The first digit typed begins a new number; it is not put behind the one that was there.
  const [isFresh, setFresh] = useState(true)
  const typed = (put: (value: number | null) => void, before: number | null) => {
    return (value: number | null) => {
      const digit = (value ?? 0) - (before ?? 0) * 10
      put(isFresh && value !== null && digit >= 0 && digit <= 9 ? digit : value)
      setFresh(false)
    }
  }
  const counted = { sticks: sticks ?? 0, buds: buds ?? 0 }
  const sum = counted.sticks + counted.buds
  const fits = sum > 0 && Math.max(counted.sticks, counted.buds) <= PIECE_LIMIT
  const more = isMore(known, counted)
  const isSticks = unit === 'sticks'
  return (
    <>
      <StepHeader title={title} />
      <ChoiceList
        label={t.say('basket.change')}
        inRow
        choices={[
          { id: 'sticks', words: t.say('basket.sticks') },
          { id: 'buds', words: t.say('basket.buds') },
        ]}
        chosen={unit}
        onChoose={(chosen) => {
          setUnit(chosen)
          setFresh(true)
        }}
      />
      <NumberPad
        key={unit}
        label={t.say(isSticks ? 'basket.sticks' : 'basket.buds')}
        value={isSticks ? sticks : buds}
        max={PIECE_LIMIT}
        onChange={isSticks ? typed(setSticks, sticks) : typed(setBuds, buds)}
      />
      <Actions>
        {more ? <Trouble what={t.say('basket.more', { known: piecesWords(known, t) })} /> : null}
        <BigButton
          look={more ? 'stop' : 'main'}
          disabled={!fits}
          detail={piecesWords(counted, t)}
          onPress={() => onCounted(counted)}
        >
          {t.say(more ? 'basket.moreYes' : 'part.next')}
        </BigButton>
        <div class="row small-words">
          <BigButton look="quiet" onPress={onBack}>
            {t.say('part.back')}
          </BigButton>
          {onLeaveOut === undefined ? null : (
            <BigButton look="quiet" onPress={onLeaveOut}>
              {t.say('basket.leaveOut')}
            </BigButton>
          )}
        </div>
      </Actions>
    </>
  )
}
