/** @jsxImportSource preact */
// A judgement as a large word, a shape of its own, the reasons and what to do.
import type { Judgement } from '#trade/judge.ts'
import type { Reason, Verdict } from '#trade/reasons.ts'
import { inOwnUnits, reasonIn, verdictIn } from '../words/reason-words.ts'
import { usePhone, useSpeaker } from './speak.tsx'

/** Reasons shown before the rest folds away. */
const SHOWN_REASONS = 2

/** A disc with a tick, a triangle with a mark, an octagon with a bar: told apart without colour. */
export function VerdictShape({ verdict }: { verdict: Verdict }) {
  return (
    <svg class="shape" viewBox="0 0 48 48" aria-hidden="true" focusable="false">
      {verdict === 'ready' ? (
        <>
          <circle cx="24" cy="24" r="22" class="ground" />
          <path d="M13 25l8 8 15-17" class="stroke" />
        </>
      ) : verdict === 'caution' ? (
        <>
          <path d="M24 3L46 44H2z" class="ground" />
          <path d="M24 17v13M24 36v3" class="stroke" />
        </>
      ) : (
        <>
          <path d="M15 2h18l13 13v18L33 46H15L2 33V15z" class="ground" />
          <path d="M12 24h24" class="stroke" />
        </>
      )}
    </svg>
  )
}

interface VerdictPanelProps {
  /** Null when the phone does not know the lot. */
  readonly judgement: Judgement | null
  /** The word and the first reason alone, for a screen where taps count. */
  readonly small?: boolean
}

/** The verdict with its reasons. A change of verdict is read aloud by a screen reader. */
export function VerdictPanel({ judgement, small = false }: VerdictPanelProps) {
  const phone = usePhone()
  const speaker = useSpeaker()
  if (judgement === null) return <p class="not-judged">{speaker.say('part.notJudged')}</p>
  const { verdict, reasons } = judgement
  const first = reasons[0]
  return (
    <section class={`verdict ${verdict}${small ? ' small' : ''}`}>
      <p class="word" role="status">
        <VerdictShape verdict={verdict} />
        {verdictIn(phone.settings.language, verdict)}
      </p>
      {small && first !== undefined ? (
        <p class="why">
          {inOwnUnits(reasonIn(phone.settings.language, first, phone.snapshot).sentence, speaker)}
        </p>
      ) : null}
      {small ? null : <ReasonList reasons={reasons} />}
    </section>
  )
}

/**
 * Every reason with its shape; all but the worst two fold away. What speaks against nothing has no
 * advice here, for what is left to do then is the office's.
 */
export function ReasonList({ reasons }: { reasons: readonly Reason[] }) {
  const speaker = useSpeaker()
  if (reasons.length === 0) return <p class="why">{speaker.say('part.noReason')}</p>
  const rest = reasons.slice(SHOWN_REASONS)
  return (
    <div class="reasons">
      <ul>{reasons.slice(0, SHOWN_REASONS).map(reasonLine)}</ul>
      {rest.length === 0 ? null : (
        <details>
          <summary>{speaker.say('part.moreReasons', { count: rest.length })}</summary>
          <ul>{rest.map(reasonLine)}</ul>
        </details>
      )}
    </div>
  )
}

function reasonLine(reason: Reason, nr: number) {
  return <ReasonLine key={`${reason.code} ${nr}`} reason={reason} />
}

function ReasonLine({ reason }: { reason: Reason }) {
  const phone = usePhone()
  const speaker = useSpeaker()
  const { language } = phone.settings
  const { sentence, todo } = reasonIn(language, reason, phone.snapshot)
  return (
    <li class={reason.verdict}>
      <VerdictShape verdict={reason.verdict} />
      <div>
        <p class="sentence">
          <span class="unseen">{verdictIn(language, reason.verdict)}: </span>
          {inOwnUnits(sentence, speaker)}
        </p>
        {reason.verdict === 'ready' ? null : <p class="todo">{todo}</p>}
      </div>
    </li>
  )
}
