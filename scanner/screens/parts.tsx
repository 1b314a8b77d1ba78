/** @jsxImportSource preact */
// The parts every screen is made of: buttons, choices, fields, counts, headings, messages.
//
// More parts have files of their own: verdict.tsx (VerdictPanel, ReasonList, VerdictShape),
// number-pad.tsx (NumberPad, CountStepper), scan-next.tsx (ScanNext), writing.tsx (useWriting,
// WritePanel) and moments.ts (useNow).
import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef, useState } from 'preact/hooks'
import { useSpeaker } from './speak.tsx'

export type ButtonLook = 'main' | 'plain' | 'quiet' | 'stop'

interface BigButtonProps {
  readonly children: ComponentChildren
  /** While a promise that it returns is pending, further presses are passed over. */
  readonly onPress: () => unknown
  readonly look?: ButtonLook
  readonly disabled?: boolean
  /** A second, smaller line under the words. */
  readonly detail?: string | undefined
  /** What a screen reader says, where the words alone do not do. */
  readonly label?: string
  /** Pressed or not, for a button that switches something. */
  readonly pressed?: boolean
}

/** A button of at least 60 pixels a side. One press does one thing, however often it is tapped. */
export function BigButton(props: BigButtonProps) {
  const { children, onPress, look = 'plain', disabled = false, detail, label, pressed } = props
  const running = useRef(false)
  const [busy, setBusy] = useState(false)
  const press = () => {
    if (running.current) return
    const answer = onPress()
    if (!(answer instanceof Promise)) return
    running.current = true
    setBusy(true)
    const end = () => {
      running.current = false
      setBusy(false)
    }
    answer.then(end, (error: unknown) => {
      end()
      reportError(error)
    })
  }
  return (
    <button
      type="button"
      class={`big ${look}`}
      disabled={disabled}
      aria-busy={busy}
      aria-label={label}
      aria-pressed={pressed}
      onClick={press}
    >
      <span class="words">{children}</span>
      {detail === undefined ? null : <span class="detail">{detail}</span>}
    </button>
  )
}

export { Actions } from './frame.tsx'

interface StepHeaderProps {
  readonly title: string
  readonly step?: number
  readonly of?: number
  /** A line under the title, such as what the job is about. */
  readonly about?: string | undefined
}

/** The heading of a screen or of a step in it. The focus goes to it when it changes. */
export function StepHeader({ title, step, of, about }: StepHeaderProps) {
  const speaker = useSpeaker()
  const heading = useRef<HTMLHeadingElement>(null)
  useEffect(() => heading.current?.focus({ preventScroll: true }), [title])
  return (
    <div class="step-head">
      {step === undefined || of === undefined ? null : (
        <p class="step">{speaker.say('part.step', { step, of })}</p>
      )}
      <h1 ref={heading} tabIndex={-1}>
        {title}
      </h1>
      {about === undefined ? null : <p class="about">{about}</p>}
    </div>
  )
}

export interface Choice<T extends string> {
  readonly id: T
  readonly words: string
  readonly detail?: string | undefined
  /** The language of the words, where it is not the screen's. */
  readonly lang?: string | undefined
}

interface ChoiceListProps<T extends string> {
  readonly label: string
  readonly choices: readonly Choice<T>[]
  /** Null while nothing is chosen. */
  readonly chosen: T | null
  readonly onChoose: (id: T) => unknown
  /** Side by side instead of one below the other, for two or three short words. */
  readonly inRow?: boolean
}

/** One of several, as large buttons; the chosen one carries a tick and says so. */
export function ChoiceList<T extends string>(props: ChoiceListProps<T>) {
  const { label, choices, chosen, onChoose, inRow = false } = props
  const labelId = useId()
  return (
    <div class="choice" role="group" aria-labelledby={labelId}>
      <p class="field-label" id={labelId}>
        {label}
      </p>
      <div class={inRow ? 'choices in-row' : 'choices'}>
        {choices.map((choice) => (
          <BigButton
            key={choice.id}
            pressed={choice.id === chosen}
            detail={choice.detail}
            onPress={() => onChoose(choice.id)}
          >
            {choice.lang === undefined ? (
              choice.words
            ) : (
              <span lang={choice.lang}>{choice.words}</span>
            )}
          </BigButton>
        ))}
      </div>
    </div>
  )
}

interface TextFieldProps {
  readonly label: string
  readonly value: string
  readonly onInput: (value: string) => void
  readonly hint?: string | undefined
  /** What is wrong and how to mend it; undefined when nothing is. */
  readonly error?: string | undefined
  /** Several lines. */
  readonly long?: boolean
  readonly maxLength?: number
  /** Capitals without suggestions, as codes need them. */
  readonly code?: boolean
  readonly onEnter?: () => void
}

/** A line to type, with its label above, what is wrong below. */
export function TextField(props: TextFieldProps) {
  const { label, value, onInput, hint, error, long = false, maxLength, code = false } = props
  const id = useId()
  const described = error !== undefined ? `${id}-error` : hint !== undefined ? `${id}-hint` : null
  const shared = {
    id,
    value,
    maxLength,
    'aria-invalid': error !== undefined,
    'aria-describedby': described ?? undefined,
    onInput: (event: { currentTarget: { value: string } }) => onInput(event.currentTarget.value),
  }
  const plain = code
    ? ({ autocapitalize: 'characters', autocomplete: 'off', spellcheck: false } as const)
    : {}
  const enter = (event: KeyboardEvent) => {
    if (event.key !== 'Enter') return
    event.preventDefault()
    props.onEnter?.()
  }
  return (
    <div class={error === undefined ? 'field' : 'field wrong'}>
      <label class="field-label" for={id}>
        {label}
      </label>
      {long ? (
        <textarea rows={3} {...shared} />
      ) : (
        <input type="text" class={code ? 'code' : ''} {...shared} {...plain} onKeyDown={enter} />
      )}
      {hint === undefined ? null : (
        <p class="hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
      <p class="error" id={`${id}-error`} role="status">
        {error}
      </p>
    </div>
  )
}

/** A short confirmation; read aloud by a screen reader without taking the focus. */
export function Toast({ words }: { words: string | null }) {
  return (
    <p class={words === null ? 'toast' : 'toast shown'} role="status">
      {words}
    </p>
  )
}

interface TroubleProps {
  readonly what: string
  /** How to mend it. */
  readonly todo?: string | undefined
  /** The text that was read, or another fact; shown as it is. */
  readonly fact?: string | undefined
  readonly children?: ComponentChildren
}

/** What went wrong and how to mend it; a screen reader interrupts for it. */
export function Trouble({ what, todo, fact, children }: TroubleProps) {
  return (
    <div class="trouble" role="alert">
      <p class="what">
        <span class="mark" aria-hidden="true">
          !
        </span>
        {what}
      </p>
      {fact === undefined ? null : <p class="fact">{fact}</p>}
      {todo === undefined ? null : <p class="todo">{todo}</p>}
      {children}
    </div>
  )
}

/** A fact and its name, one pair a line. */
export function Facts({ rows }: { rows: readonly (readonly [name: string, fact: string])[] }) {
  return (
    <dl class="facts">
      {rows.map(([name, fact]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{fact}</dd>
        </div>
      ))}
    </dl>
  )
}
