/** @jsxImportSource preact */
// One row of a take check: the walk, what was seen at the vine in front, and what is asked.
import { useState } from 'preact/hooks'
import { z } from 'zod'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting } from '../../screens/writing.tsx'
import { useRemembered } from '../remember.ts'
import { RowEnd, RowMore } from '../row-end.tsx'
import { nextFrom, UNDO_LIMIT, vineOf, withUndone, worksOf } from '../row-session.ts'
import type { RowWalk } from '../row-walk.tsx'
import { useTaps } from '../taps.ts'
import { UndoList } from '../undo-list.tsx'
import { BigButton } from '../../screens/parts.tsx'
import { graftedIn, reach, shownNumber, vineAt } from '../walk.ts'
import { graftsToSee, nothingSeen, takeDraft } from './take-drafts.ts'
import type { Seen, TakeManner } from './take-drafts.ts'
import { AddToCheck, CheckNote, noExtras, ShootLength } from './take-extras.tsx'
import type { Extras } from './take-extras.tsx'
import { TakeVine } from './take-vine.tsx'
import { countsWords, resultsOf } from './take-words.ts'

export type TakeAsked = 'undo' | 'more' | 'add' | 'shoot' | 'note' | null

/** What was tapped at one vine; at another position it no longer counts. */
interface AtVine {
  readonly position: number | null
  readonly seen: Seen
  readonly extras: Extras
  readonly byBud: boolean
}

const MannerWord = z.enum(['by graft', 'by bud'])

function useTakeRow(walk: RowWalk) {
  const { phone, row, session, entries } = walk
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [manner, keepManner] = useRemembered('take.manner', MannerWord)
  const [photoLost, setPhotoLost] = useState(false)
  const works = worksOf(session, entries.list ?? [], ['take.checked'])
  const vines = phone.snapshot.vines(row.rowId)
  const reached = reach(row, nextFrom(session, works), session.step, graftedIn(vines))
  const { position } = reached
  const vine = position === null ? null : vineAt(vines, position)
  const grafts = vine === null ? [] : graftsToSee(vine)
  const blank: AtVine = {
    position,
    seen: nothingSeen(grafts),
    extras: noExtras,
    byBud: manner === 'by bud',
  }
  const [kept, setAt] = useState<AtVine>(blank)
  const at = kept.position === position && sameGrafts(kept.seen, blank.seen) ? kept : blank
  const taps = useTaps<Seen>(
    writing,
    (seen) => {
      if (position === null) return null
      const { shootLengthMm, note } = at.extras
      const draft = takeDraft({ rowId: row.rowId, position }, seen, shootLengthMm, note)
      if (draft === null) return null
      const vineNumber = shownNumber(row, position, session.countedFrom)
      const what = countsWords(resultsOf(draft), t)
      return { draft, said: t.say('take.saved', { vine: vineNumber, what }) }
    },
    (written, draft) => {
      entries.add(written, [draft])
      const { photo } = at.extras
      const [entry] = written
      setPhotoLost(false)
      if (photo !== null && entry !== undefined) {
        phone.keepPhoto(entry.id, photo).catch(() => setPhotoLost(true))
      }
    },
  )
  const mannerNow: TakeManner = at.byBud ? 'by bud' : 'by graft'
  return {
    ...{ t, writing, works, reached, position, vine, grafts, at, setAt, taps, photoLost },
    ...{ manner: mannerNow, always: manner ?? 'by graft', keepManner },
  }
}

export type TakeState = ReturnType<typeof useTakeRow>

export function TakeRow({ walk }: { walk: RowWalk }) {
  const { row, session } = walk
  const state = useTakeRow(walk)
  const { t, works, position, at, setAt } = state
  const [asked, setAsked] = useState<TakeAsked>(null)
  const back = () => setAsked(null)
  const shown = (one: number) => shownNumber(row, one, session.countedFrom)
  const vines = t.say('count.vines', { count: works.length })
  const finish = () => walk.onFinish(t.say('take.done', { row: row.label, vines }))
  if (asked === 'undo') return <UndoChecks {...{ walk, state }} onBack={back} />
  if (asked === 'more') {
    const next = state.always === 'by bud' ? 'by graft' : 'by bud'
    const change = async () => {
      await state.keepManner(next)
      setAt({ ...at, byBud: next === 'by bud' })
      back()
    }
    return (
      <RowMore walk={walk} onFinish={finish} onBack={back}>
        <BigButton onPress={change}>
          {t.say(next === 'by bud' ? 'take.always' : 'take.whole')}
        </BigButton>
      </RowMore>
    )
  }
  if (position === null) {
    const words = t.say('take.count', { count: works.length })
    return <RowEnd walk={walk} words={words} onUndo={() => setAsked('undo')} onFinish={finish} />
  }
  if (asked === 'add') {
    return (
      <AddToCheck
        vine={shown(position)}
        extras={at.extras}
        onExtras={(extras) => setAt({ ...at, position, extras })}
        onShoot={() => setAsked('shoot')}
        onNote={() => setAsked('note')}
        onBudByBud={
          canDiffer(state)
            ? () => {
                setAt({ ...at, position, byBud: true })
                back()
              }
            : null
        }
        onBack={back}
      />
    )
  }
  if (asked === 'shoot' || asked === 'note') {
    const Ask = asked === 'shoot' ? ShootLength : CheckNote
    return (
      <Ask
        vine={shown(position)}
        extras={at.extras}
        onExtras={(extras) => setAt({ ...at, position, extras })}
        onBack={() => setAsked('add')}
      />
    )
  }
  return <TakeVine walk={walk} state={state} position={position} onAsk={setAsked} />
}

interface UndoChecksProps {
  readonly walk: RowWalk
  readonly state: TakeState
  readonly onBack: () => void
}

function UndoChecks({ walk, state, onBack }: UndoChecksProps) {
  const { row, session, keep, entries } = walk
  const { t, writing, works, taps } = state
  const undoable = works.slice(0, UNDO_LIMIT).map((work) => ({
    entryId: work.written.id,
    counter: work.written.deviceCounter,
    words: t.say('take.work', {
      vine: shownNumber(row, vineOf(work)?.position ?? 0, session.countedFrom),
      what: countsWords(resultsOf(work), t),
    }),
  }))
  return (
    <UndoList
      works={undoable}
      undone={session.undone}
      writing={writing}
      onUndone={async ({ entryId, counter, words }) => {
        entries.drop(entryId)
        await keep(withUndone(session, { counter, text: words }))
        taps.tell(t.say('undo.said', { what: words }))
        onBack()
      }}
      onBack={onBack}
    />
  )
}

function canDiffer({ manner, grafts }: TakeState): boolean {
  return manner === 'by graft' && grafts.some((graft) => graft.budCount > 1)
}

function sameGrafts(one: Seen, other: Seen): boolean {
  return one.size === other.size && [...one.keys()].every((graftId) => other.has(graftId))
}
