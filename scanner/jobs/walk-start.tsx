/** @jsxImportSource preact */
// Asks where a walk along a row begins, which way it goes and from which end the person counts.
import { useState } from 'preact/hooks'
import type { PhoneRow } from '../phone.ts'
import { Actions, BigButton, ChoiceList, StepHeader } from '../screens/parts.tsx'
import { NumberPad } from '../screens/number-pad.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import { rowName } from './row-picker.tsx'
import { firstPosition, shownNumber } from './walk.ts'
import type { CountedFrom, Step } from './walk.ts'

/** Where a walk begins; the position counts from the row's head whatever the person counts from. */
export interface WalkBegin {
  readonly start: number
  readonly step: Step
  readonly countedFrom: CountedFrom
}

interface WalkStartProps {
  readonly row: PhoneRow
  readonly about?: string
  readonly onBegin: (begin: WalkBegin) => unknown
  readonly onBack: () => void
}

type Where = 'head' | 'far' | 'other'

/** One tap for either end of the row; a vine in the middle takes a number and a direction. */
export function WalkStart({ row, about, onBegin, onBack }: WalkStartProps) {
  const t = useSpeaker()
  const [where, setWhere] = useState<Where | null>(null)
  const [countedFrom, setCountedFrom] = useState<CountedFrom>('head')
  const last = row.positionCount
  if (where === 'other') {
    return <OtherVine row={row} onBegin={onBegin} onBack={() => setWhere(null)} />
  }
  if (where === 'far') {
    const begin = () => onBegin({ start: firstPosition(row, -1), step: -1, countedFrom })
    return (
      <>
        <StepHeader title={t.say('row.countedFrom')} about={rowName(row, t)} />
        <div class="fill" />
        <ChoiceList
          label={t.say('row.vine')}
          choices={[
            { id: 'head', words: t.say('row.countHead', { first: last }) },
            { id: 'far', words: t.say('row.countFar', { first: 1 }) },
          ]}
          chosen={countedFrom}
          onChoose={setCountedFrom}
        />
        <Actions>
          <BigButton look="main" onPress={begin}>
            {t.say('part.next')}
          </BigButton>
          <BigButton look="quiet" onPress={() => setWhere(null)}>
            {t.say('part.back')}
          </BigButton>
        </Actions>
      </>
    )
  }
  const headAt = row.headAt === null ? undefined : t.say('row.headBy', { where: row.headAt })
  return (
    <>
      <StepHeader title={t.say('row.begin')} about={about ?? rowName(row, t)} />
      <Actions>
        <BigButton
          look="main"
          detail={headAt}
          onPress={() => onBegin({ start: 1, step: 1, countedFrom: 'head' })}
        >
          {t.say('row.fromHead')}
        </BigButton>
        <BigButton onPress={() => setWhere('far')}>{t.say('row.fromFar', { last })}</BigButton>
        <BigButton onPress={() => setWhere('other')}>{t.say('row.fromOther')}</BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface OtherVineProps {
  readonly row: PhoneRow
  readonly countedFrom?: CountedFrom
  readonly step?: Step
  readonly onBegin: (begin: WalkBegin) => unknown
  readonly onBack: () => void
}

/** A vine by its number, as the person counts. */
export function OtherVine({
  row,
  countedFrom = 'head',
  step = 1,
  onBegin,
  onBack,
}: OtherVineProps) {
  const t = useSpeaker()
  const [number, setNumber] = useState<number | null>(null)
  const risesShown = (step === 1) === (countedFrom === 'head')
  const [rises, setRises] = useState<'up' | 'down'>(risesShown ? 'up' : 'down')
  const fits = number !== null && number >= 1 && number <= row.positionCount
  const begin = () => {
    if (!fits) return undefined
    const upwards = (rises === 'up') === (countedFrom === 'head')
    const start = shownNumber(row, number, countedFrom)
    return onBegin({ start, step: upwards ? 1 : -1, countedFrom })
  }
  return (
    <>
      <StepHeader title={t.say('row.whichVine')} about={rowName(row, t)} />
      <ChoiceList
        label={t.say('row.direction')}
        inRow
        choices={[
          { id: 'up', words: t.say('row.up') },
          { id: 'down', words: t.say('row.down') },
        ]}
        chosen={rises}
        onChoose={setRises}
      />
      <NumberPad
        label={t.say('row.vine')}
        value={number}
        min={1}
        max={row.positionCount}
        onChange={setNumber}
      />
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={begin}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
