/** @jsxImportSource preact */
// What a walk offers besides its vines: the row's end, and what is rarely wanted on the way.
import { useState } from 'preact/hooks'
import type { ComponentChildren } from 'preact'
import { Actions, BigButton, StepHeader } from '../screens/parts.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import { rowName } from './row-picker.tsx'
import type { RowWalk } from './row-walk.tsx'
import { OtherVine } from './walk-start.tsx'

interface RowEndProps {
  readonly walk: RowWalk
  /** What the round came to. */
  readonly words: string
  readonly onUndo: () => void
  readonly onFinish: () => unknown
}

/** No vine left in this direction. */
export function RowEnd({ walk, words, onUndo, onFinish }: RowEndProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={t.say('row.end')} about={rowName(walk.row, t)} />
      <p>{words}</p>
      <Actions>
        <BigButton look="quiet" onPress={onUndo}>
          {t.say('row.undo')}
        </BigButton>
        <BigButton onPress={onFinish}>{t.say('row.finish')}</BigButton>
        <BigButton look="main" onPress={walk.onOtherRow}>
          {t.say('row.other')}
        </BigButton>
      </Actions>
    </>
  )
}

interface RowMoreProps {
  readonly walk: RowWalk
  readonly onFinish: () => unknown
  readonly onBack: () => void
  /** Further buttons of the job. */
  readonly children?: ComponentChildren
}

/** Another vine, another row, the end. */
export function RowMore({ walk, onFinish, onBack, children }: RowMoreProps) {
  const t = useSpeaker()
  const [asksVine, setAsksVine] = useState(false)
  const { row, session } = walk
  if (asksVine) {
    return (
      <OtherVine
        row={row}
        countedFrom={session.countedFrom}
        step={session.step}
        onBegin={async ({ start, step }) => {
          await walk.goTo(start, step)
          onBack()
        }}
        onBack={() => setAsksVine(false)}
      />
    )
  }
  return (
    <>
      <StepHeader title={t.say('row.more')} about={rowName(row, t)} />
      <Actions>
        <BigButton onPress={onFinish}>{t.say('row.finish')}</BigButton>
        <BigButton onPress={walk.onLeave}>{t.say('row.leave')}</BigButton>
        <BigButton onPress={walk.onOtherRow}>{t.say('row.other')}</BigButton>
        <BigButton onPress={() => setAsksVine(true)}>{t.say('row.goTo')}</BigButton>
        {children}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('row.back')}
        </BigButton>
      </Actions>
    </>
  )
}
