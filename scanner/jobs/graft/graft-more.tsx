/** @jsxImportSource preact */
// What is rarely wanted in the row: another number of buds, another vine, another bundle, the end.
import { useState } from 'preact/hooks'
import type { PhoneRow } from '../../phone.ts'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { OtherVine } from '../walk-start.tsx'
import type { WalkBegin } from '../walk-start.tsx'
import { shownNumber } from '../walk.ts'
import type { GraftSession } from './session.ts'

interface GraftMoreProps {
  readonly row: PhoneRow
  readonly session: GraftSession
  /** The vine in front of the person; null at the row's end. */
  readonly position: number | null
  /** The vine worked last, or null. */
  readonly lastPosition: number | null
  readonly onBuds: (count: number) => unknown
  readonly onGoTo: (begin: Pick<WalkBegin, 'start' | 'step'>) => unknown
  readonly onChangeBundle: () => void
  readonly onChangeMethod: () => void
  readonly onOtherRow: () => void
  readonly onLeave: () => void
  readonly onFinish: () => unknown
  readonly onBack: () => void
}

/** Most buds on one vine in one go. */
const BUD_LIMIT = 20

/** One button each, large, in the order of how often they are wanted. */
export function GraftMore(props: GraftMoreProps) {
  const { row, session, position, lastPosition, onBuds, onGoTo, onBack } = props
  const t = useSpeaker()
  const [asked, setAsked] = useState<'buds' | 'vine' | null>(null)
  const back = () => setAsked(null)
  if (asked === 'vine') {
    const { countedFrom, step } = session
    return (
      <OtherVine row={row} countedFrom={countedFrom} step={step} onBegin={onGoTo} onBack={back} />
    )
  }
  if (asked === 'buds' && position !== null) {
    const vine = shownNumber(row, position, session.countedFrom)
    return <HowMany vine={vine} onBuds={onBuds} onBack={back} />
  }
  const again = lastPosition === null ? null : { start: lastPosition, step: session.step }
  return (
    <>
      <StepHeader title={t.say('row.more')} />
      <Actions>
        <div class="two-columns">
          <BigButton onPress={props.onFinish}>{t.say('row.finish')}</BigButton>
          <BigButton onPress={props.onLeave}>{t.say('row.leave')}</BigButton>
          <BigButton onPress={props.onOtherRow}>{t.say('row.other')}</BigButton>
          <BigButton onPress={props.onChangeMethod}>{t.say('graft.change')}</BigButton>
          <BigButton onPress={() => setAsked('vine')}>{t.say('row.goTo')}</BigButton>
          {again === null || lastPosition === null ? null : (
            <BigButton onPress={() => onGoTo(again)}>
              {t.say('graft.sameVine', {
                vine: shownNumber(row, lastPosition, session.countedFrom),
              })}
            </BigButton>
          )}
          {position === null ? null : (
            <BigButton onPress={() => setAsked('buds')}>{t.say('graft.otherCount')}</BigButton>
          )}
          <BigButton onPress={props.onChangeBundle}>{t.say('graft.changeBundle')}</BigButton>
        </div>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('row.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface HowManyProps {
  readonly vine: number
  readonly onBuds: (count: number) => unknown
  readonly onBack: () => void
}

function HowMany({ vine, onBuds, onBack }: HowManyProps) {
  const t = useSpeaker()
  const [count, setCount] = useState<number | null>(null)
  const fits = count !== null && count >= 1 && count <= BUD_LIMIT
  return (
    <>
      <StepHeader title={t.say('graft.howMany', { vine })} />
      <NumberPad
        label={t.say('graft.otherCount')}
        value={count}
        min={1}
        max={BUD_LIMIT}
        onChange={setCount}
      />
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={() => (fits ? onBuds(count) : undefined)}>
          {t.say('graft.saveBuds')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
