/** @jsxImportSource preact */
// Releases ties along a row: one tap a vine, vines without a tie passed over.
import { useState } from 'preact/hooks'
import type { Phone, RecentEntry } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import type { Writing } from '../../screens/writing.tsx'
import { TapSaid } from '../tap-said.tsx'
import { tieDraft } from '../graft/graft-drafts.ts'
import { recall, WORKING_DAY_MS } from '../remember.ts'
import { RowEnd, RowMore } from '../row-end.tsx'
import { rowName, rowOf } from '../row-picker.tsx'
import { nextFrom, RowSession, UNDO_LIMIT, vineOf, withUndone, worksOf } from '../row-session.ts'
import { WalkJob } from '../row-walk.tsx'
import type { RowWalk } from '../row-walk.tsx'
import { useTaps } from '../taps.ts'
import { UndoList } from '../undo-list.tsx'
import { VineFace } from '../vine-face.tsx'
import { reach, shownNumber, tiedIn } from '../walk.ts'

const SESSION_KEY = 'tie.session'

function TieScreen(props: JobProps) {
  return (
    <WalkJob {...props} sessionKey={SESSION_KEY}>
      {(walk) => <TieRow walk={walk} />}
    </WalkJob>
  )
}

interface UndoTiesProps {
  readonly walk: RowWalk
  readonly works: readonly RecentEntry[]
  readonly writing: Writing
  readonly onSaid: (words: string) => void
  readonly onBack: () => void
}

function UndoTies({ walk, works, writing, onSaid, onBack }: UndoTiesProps) {
  const { row, session, keep, entries } = walk
  const t = useSpeaker()
  const undoable = works.slice(0, UNDO_LIMIT).map((work) => ({
    entryId: work.written.id,
    counter: work.written.deviceCounter,
    words: t.say('tie.work', {
      vine: shownNumber(row, vineOf(work)?.position ?? 0, session.countedFrom),
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
        onSaid(t.say('undo.said', { what: words }))
        onBack()
      }}
      onBack={onBack}
    />
  )
}

function TieRow({ walk }: { walk: RowWalk }) {
  const { phone, row, session, entries } = walk
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [asked, setAsked] = useState<'undo' | 'more' | null>(null)
  const works = worksOf(session, entries.list ?? [], ['tie.released'])
  const from = nextFrom(session, works)
  const { position, passedOver } = reach(
    row,
    from,
    session.step,
    tiedIn(phone.snapshot.vines(row.rowId)),
  )
  const shown = (at: number) => shownNumber(row, at, session.countedFrom)
  const taps = useTaps<'release'>(
    writing,
    () =>
      position === null
        ? null
        : {
            draft: tieDraft({ rowId: row.rowId, position }, null),
            said: t.say('tie.saved', { vine: shown(position) }),
          },
    (written, draft) => entries.add(written, [draft]),
  )
  const back = () => setAsked(null)
  const vines = t.say('count.vines', { count: works.length })
  const finish = () => walk.onFinish(t.say('tie.done', { row: row.label, vines }))
  if (asked === 'undo')
    return <UndoTies {...{ walk, works, writing }} onSaid={taps.tell} onBack={back} />
  if (asked === 'more') return <RowMore walk={walk} onFinish={finish} onBack={back} />
  const count = t.say('tie.count', { count: works.length })
  if (position === null) {
    return <RowEnd walk={walk} words={count} onUndo={() => setAsked('undo')} onFinish={finish} />
  }
  return (
    <>
      <p class="about">{rowName(row, t)}</p>
      <VineFace
        {...{ row, position, passedOver }}
        countedFrom={session.countedFrom}
        because="untied"
      />
      <p class="counts">{count}</p>
      <p class="caution-line">{t.say('tie.caution')}</p>
      <WritePanel writing={writing} />
      <Actions>
        <TapSaid taps={taps} vine={shown(position)} />
        <div class="row tall">
          <BigButton look="main" onPress={() => taps.tap('release')}>
            {t.say('tie.release')}
          </BigButton>
        </div>
        <BigButton onPress={() => walk.goTo(position + session.step, session.step)}>
          {t.say('tie.leave')}
        </BigButton>
        <div class="row small-words">
          <BigButton look="quiet" onPress={() => setAsked('undo')}>
            {t.say('row.undo')}
          </BigButton>
          <BigButton look="quiet" onPress={() => setAsked('more')}>
            {t.say('row.more')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

export const tieJob: Job = {
  id: 'tie',
  title: 'tie.title',
  order: 40,
  withoutScan: true,
  offeredFor: (found, phone: Phone) => rowOf(found, phone) !== null,
  leftOpen: async () => (await recall(SESSION_KEY, RowSession, WORKING_DAY_MS)) !== null,
  Screen: TieScreen,
}
