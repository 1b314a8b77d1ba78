/** @jsxImportSource preact */
// One number on a pad, with what may be wrong with it said at once.
import { useState } from 'preact/hooks'
import type { ComponentChildren } from 'preact'
import { NumberPad } from '../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader, Trouble } from '../screens/parts.tsx'
import { useSpeaker } from '../screens/speak.tsx'

interface NumberStepProps {
  readonly title: string
  readonly about?: string | undefined
  readonly unit?: string
  readonly min?: number
  readonly max: number
  /** Says what is wrong with a number; null when nothing is. */
  readonly problem?: (value: number) => string | null
  /** A line under the number that follows what is typed. */
  readonly said?: (value: number) => string
  readonly onNumber: (value: number) => unknown
  readonly onBack: () => void
  /** Further buttons. */
  readonly children?: ComponentChildren
}

export function NumberStep(props: NumberStepProps) {
  const { title, about, unit, min = 0, max, problem, said, onNumber, onBack, children } = props
  const t = useSpeaker()
  const [value, setValue] = useState<number | null>(null)
  const wrong = value === null ? null : (problem?.(value) ?? null)
  const fits = value !== null && value >= min && value <= max && wrong === null
  return (
    <>
      <StepHeader title={title} about={about} />
      <div class="titled">
        <NumberPad
          label={title}
          value={value}
          min={min}
          max={max}
          onChange={setValue}
          {...(unit === undefined ? {} : { unit })}
        />
      </div>
      <Actions>
        {said === undefined || value === null || wrong !== null ? null : (
          <p class="mean">{said(value)}</p>
        )}
        {wrong === null ? null : <Trouble what={wrong} />}
        <BigButton
          look="main"
          disabled={!fits}
          onPress={() => (fits ? onNumber(value) : undefined)}
        >
          {t.say('part.next')}
        </BigButton>
        {children}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
