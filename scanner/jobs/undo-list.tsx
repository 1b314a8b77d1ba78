/** @jsxImportSource preact */
// Takes back one of the last ten works, with the reason; what was undone stays in sight.
import { useState } from 'preact/hooks'
import { Actions, BigButton, StepHeader } from '../screens/parts.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import type { Writing } from '../screens/writing.tsx'
import { WritePanel } from '../screens/writing.tsx'
import { undoDraft } from './graft/graft-drafts.ts'
import type { RowSession } from './row-session.ts'
import { UNDO_REASONS } from './said.ts'
import { SayWhy } from './say-why.tsx'

/** An entry that can be taken back, in a few words. */
export interface Undoable {
  readonly entryId: string
  readonly counter: number
  readonly words: string
}

interface UndoListProps {
  /** Newest first. */
  readonly works: readonly Undoable[]
  readonly undone: RowSession['undone']
  readonly writing: Writing
  /** After the withdrawal is safe on the phone. */
  readonly onUndone: (work: Undoable) => Promise<void>
  readonly onBack: () => void
}

/** One tap chooses, one says why. The newest stands lowest, at the thumb. */
export function UndoList({ works, undone, writing, onUndone, onBack }: UndoListProps) {
  const t = useSpeaker()
  const [chosen, setChosen] = useState<Undoable | null>(null)
  if (chosen !== null) {
    const undo = async (reason: string) => {
      const written = await writing.write(undoDraft(chosen.entryId, reason))
      if (written !== null) await onUndone(chosen)
    }
    return (
      <>
        <WritePanel writing={writing} />
        <SayWhy
          title={t.say('undo.why')}
          about={chosen.words}
          offered={UNDO_REASONS}
          onSay={undo}
          onBack={() => setChosen(null)}
        />
      </>
    )
  }
  return (
    <>
      <StepHeader title={t.say('undo.title')} />
      {works.length === 0 ? <p>{t.say('undo.nothing')}</p> : null}
      <ul class="undone">
        {undone.map((one) => (
          <li key={one.counter}>
            <s>{one.text}</s> · {t.say('undo.done')}
          </li>
        ))}
      </ul>
      <Actions>
        {[...works].reverse().map((work) => (
          <BigButton key={work.entryId} onPress={() => setChosen(work)}>
            {work.words}
          </BigButton>
        ))}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('row.back')}
        </BigButton>
      </Actions>
    </>
  )
}
