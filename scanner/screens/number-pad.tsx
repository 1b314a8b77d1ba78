/** @jsxImportSource preact */
// Whole numbers by large keys: a pad of digits, and a count with one more and one fewer.
import { useId } from 'preact/hooks'
import { BigButton } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

interface NumberPadProps {
  readonly label: string
  /** Null while nothing is typed. */
  readonly value: number | null
  readonly onChange: (value: number | null) => void
  readonly min?: number
  readonly max?: number
  /** What stands behind the number, such as a unit. */
  readonly unit?: string
}

const DIGITS = [1, 2, 3, 4, 5, 6, 7, 8, 9] as const

/** A pad of ten digits. What is too large or too small is shown and said, never changed. */
export function NumberPad(props: NumberPadProps) {
  const { label, value, onChange, min = 0, max = 999_999, unit } = props
  const speaker = useSpeaker()
  const id = useId()
  const add = (digit: number) => {
    const next = (value ?? 0) * 10 + digit
    // One digit more than the largest number can be is let in, so that the message can be read.
    if (next <= max * 10 + 9) onChange(next)
  }
  const erase = () => onChange(value === null || value < 10 ? null : Math.floor(value / 10))
  const problem = numberProblem(speaker.say, value, min, max)
  return (
    <div class="pad" role="group" aria-labelledby={id}>
      <p class="field-label" id={id}>
        {label}
      </p>
      <output class="pad-number" aria-live="polite">
        {value === null ? '–' : speaker.number(value)}
        {unit === undefined ? null : <span class="unit"> {unit}</span>}
      </output>
      <p class="error" role="status">
        {problem}
      </p>
      <div class="pad-keys">
        {DIGITS.map((digit) => (
          <BigButton key={digit} onPress={() => add(digit)}>
            {digit}
          </BigButton>
        ))}
        <BigButton look="quiet" label={speaker.say('part.clear')} onPress={() => onChange(null)}>
          C
        </BigButton>
        <BigButton onPress={() => add(0)}>0</BigButton>
        <BigButton look="quiet" label={speaker.say('part.erase')} onPress={erase}>
          ⌫
        </BigButton>
      </div>
    </div>
  )
}

interface CountStepperProps {
  /** What is counted, named for people who do not see the buttons. */
  readonly label: string
  readonly value: number
  readonly onChange: (value: number) => void
  readonly min?: number
  readonly max?: number
}

/** A count with one more and one fewer, for small numbers. */
export function CountStepper(props: CountStepperProps) {
  const { label, value, onChange, min = 0, max = 99 } = props
  const speaker = useSpeaker()
  const id = useId()
  return (
    <div class="stepper" role="group" aria-labelledby={id}>
      <p class="field-label" id={id}>
        {label}
      </p>
      <div class="stepper-row">
        <BigButton
          label={speaker.say('part.take', { what: label })}
          disabled={value <= min}
          onPress={() => onChange(value - 1)}
        >
          −
        </BigButton>
        <output class="pad-number" aria-live="polite">
          {speaker.number(value)}
        </output>
        <BigButton
          label={speaker.say('part.add', { what: label })}
          disabled={value >= max}
          onPress={() => onChange(value + 1)}
        >
          +
        </BigButton>
      </div>
    </div>
  )
}

function numberProblem(
  say: ReturnType<typeof useSpeaker>['say'],
  value: number | null,
  min: number,
  max: number,
): string | null {
  if (value === null) return null
  if (value > max) return say('part.tooMany', { max })
  return value < min ? say('part.tooFew', { min }) : null
}
