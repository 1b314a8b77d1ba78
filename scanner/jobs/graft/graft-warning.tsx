/** @jsxImportSource preact */
// What speaks against the wood, large, before the next tap: read it once and go on, or change wood.
import type { Reason } from '#trade/reasons.ts'
import { verdictOf } from '#trade/reasons.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { VerdictPanel } from '../../screens/verdict.tsx'

interface GraftWarningProps {
  readonly title: string
  readonly reasons: readonly Reason[]
  /** By the records the bundle is used up. */
  readonly woodGone: boolean
  readonly onAccept: () => unknown
  readonly onOtherWood: () => void
}

/** What was done can always be recorded; it takes one tap that says so. */
export function GraftWarning(props: GraftWarningProps) {
  const { title, reasons, woodGone, onAccept, onOtherWood } = props
  const t = useSpeaker()
  const verdict = verdictOf(reasons)
  const stops = verdict === 'stop'
  const accept = t.say(stops ? 'graft.stop.yes' : 'graft.caution.yes')
  return (
    <>
      <StepHeader title={title} />
      {reasons.length === 0 ? null : <VerdictPanel judgement={{ verdict, reasons }} />}
      {woodGone ? (
        <Trouble what={t.say('graft.gone.what')} todo={t.say('graft.gone.todo')} />
      ) : null}
      <Actions>
        <BigButton look={stops ? 'main' : 'plain'} onPress={onOtherWood}>
          {t.say('graft.otherWood')}
        </BigButton>
        <BigButton look={stops ? 'stop' : 'main'} onPress={onAccept}>
          {accept}
        </BigButton>
      </Actions>
    </>
  )
}
