/** @jsxImportSource preact */
// Grafting along one row: keeps the entries, the walk and the judgement, and shows what is asked.
import { useState } from 'preact/hooks'
import type { Phone, PhoneRow } from '../../phone.ts'
import { useNow } from '../../screens/moments.ts'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import type { Speaker } from '../../words/speaker.ts'
import type { OwnEntries } from '../entries.ts'
import { newestCounter } from '../entries.ts'
import { budsLeft } from '../held.ts'
import { rowName } from '../row-picker.tsx'
import { withUndone } from '../row-session.ts'
import { DISINFECTANTS, SKIP_REASONS } from '../said.ts'
import { SayWhy } from '../say-why.tsx'
import { useTaps } from '../taps.ts'
import { UndoList } from '../undo-list.tsx'
import type { Undoable } from '../undo-list.tsx'
import { reach, shownNumber, standsIn, vineAt } from '../walk.ts'
import { GraftMore } from './graft-more.tsx'
import { GraftVine } from './graft-vine.tsx'
import { GraftWarning } from './graft-warning.tsx'
import { workWords } from './graft-words.ts'
import { judgeVine, planAt } from './judge-vine.ts'
import type { Manner } from './manner.ts'
import { marksOf, standingOf, unreadWarnings } from './session.ts'
import type { GraftSession, Work } from './session.ts'
import { tapOf } from './wish.ts'
import type { GraftWish } from './wish.ts'

interface GraftRowProps {
  readonly phone: Phone
  readonly row: PhoneRow
  readonly session: GraftSession
  readonly keep: (session: GraftSession) => Promise<void>
  readonly entries: OwnEntries
  readonly manner: Manner
  readonly keepManner: (manner: Manner) => Promise<void>
  readonly onChangeBundle: () => void
  readonly onChangeMethod: () => void
  readonly onOtherRow: () => void
  readonly onLeave: () => void
  readonly onFinish: (sayDone: string) => unknown
}

type Asked = 'skip' | 'undo' | 'disinfect' | 'more' | null

/** Everything the row's screens share, worked out anew at each drawing. */
function useGraftRow(props: GraftRowProps) {
  const { phone, row, session, entries, keep } = props
  const { snapshot, settings } = phone
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const writing = useWriting(phone)
  const standing = standingOf(session, entries.list ?? [])
  const vines = snapshot.vines(row.rowId)
  const reached = reach(row, standing.from, session.step, standsIn(vines))
  const { position } = reached
  const lastPosition = standing.last.find((work) => work.rowId === row.rowId)?.position ?? null
  const place = { session, row, position, lastPosition, knifeId: settings.knifeId }
  const taps = useTaps<GraftWish>(
    writing,
    (wish) => tapOf(wish, place, t),
    (written, draft) => entries.add(written, [draft]),
  )
  const lot = snapshot.lot(session.lotId)
  const vine = position === null ? null : { rowId: row.rowId, position }
  const judgement = vine === null ? null : judgeVine(snapshot, session, vine, nowMs)
  const leftBuds = lot === null ? null : budsLeft(lot, session.from, session.bundleId)
  const goneMark = `gone ${session.bundleId ?? session.lotId}`
  const warnings = unreadWarnings(judgement, session.accepted)
  const woodGone = leftBuds !== null && leftBuds <= 0 && !session.accepted.includes(goneMark)
  const accept = () => {
    const marks = [...marksOf(warnings), ...(woodGone ? [goneMark] : [])]
    return keep({ ...session, accepted: [...session.accepted, ...marks] })
  }
  const season = new Date(nowMs).getFullYear()
  const plan = position === null ? null : planAt(snapshot, row.rowId, position, season)
  const goTo = async (start: number, step: GraftSession['step']) => {
    await keep({ ...session, start, step, afterCounter: await newestCounter(phone) })
  }
  return {
    ...{ t, writing, standing, vines, reached, position, lastPosition, taps, lot, judgement },
    ...{ leftBuds, warnings, woodGone, accept, plan, goTo },
  }
}

export function GraftRow(props: GraftRowProps) {
  const { row, session, keep, entries } = props
  const state = useGraftRow(props)
  const { t, writing, standing, position, taps, goTo, warnings, woodGone } = state
  const [asked, setAsked] = useState<Asked>(null)
  const back = () => setAsked(null)
  const wish = async (what: GraftWish) => {
    setAsked(null)
    await taps.tap(what)
  }
  if (entries.list === null) return null
  if (position !== null && (warnings.length > 0 || woodGone)) {
    return (
      <GraftWarning
        title={`${rowName(row, t)}: ${woodWords(state, t)}`}
        reasons={warnings}
        woodGone={woodGone}
        onAccept={state.accept}
        onOtherWood={props.onChangeBundle}
      />
    )
  }
  if (asked === 'undo') {
    const undone = async ({ entryId, counter, words }: Undoable) => {
      entries.drop(entryId)
      await keep(withUndone(session, { counter, text: words }))
      taps.tell(t.say('undo.said', { what: words }))
      setAsked(null)
    }
    const works = standing.last.map((work) => undoable(work, row, session, t))
    return (
      <UndoList {...{ works, writing, onBack: back }} undone={session.undone} onUndone={undone} />
    )
  }
  if ((asked === 'skip' && position !== null) || asked === 'disinfect') {
    return <AskWords {...props} {...{ state, asked }} onWish={wish} onBack={back} />
  }
  if (asked === 'more') {
    return (
      <GraftMore
        {...{ row, session, position, lastPosition: state.lastPosition, onBack: back }}
        onBuds={(count) => wish({ what: 'buds', count })}
        onGoTo={async ({ start, step }) => {
          await goTo(start, step)
          back()
        }}
        onChangeBundle={props.onChangeBundle}
        onChangeMethod={props.onChangeMethod}
        onOtherRow={props.onOtherRow}
        onLeave={props.onLeave}
        onFinish={() => props.onFinish(doneWords(state, row))}
      />
    )
  }
  return <AtVine {...props} state={state} onAsk={setAsked} />
}

interface AskWordsProps extends GraftRowProps {
  readonly state: State
  readonly asked: 'skip' | 'disinfect'
  readonly onWish: (wish: GraftWish) => Promise<void>
  readonly onBack: () => void
}

/** Why a vine is skipped, or what a blade is disinfected with. */
function AskWords({ state, asked, onWish, onBack, ...props }: AskWordsProps) {
  const { row, session, manner } = props
  const { t, position } = state
  if (asked === 'skip') {
    const vine = position === null ? 0 : shownNumber(row, position, session.countedFrom)
    return (
      <SayWhy
        title={t.say('graft.whySkip', { vine })}
        offered={SKIP_REASONS}
        onSay={(reason) => onWish({ what: 'skip', reason })}
        onBack={onBack}
      />
    )
  }
  const chosen = async (disinfectant: string) => {
    await props.keepManner({ ...manner, disinfectant })
    await onWish({ what: 'disinfect', disinfectant })
  }
  return (
    <SayWhy
      title={t.say('tool.withWhat')}
      caution={t.say('tool.caution')}
      offered={DISINFECTANTS}
      onSay={chosen}
      onBack={onBack}
    />
  )
}

interface AtVineProps extends GraftRowProps {
  readonly state: ReturnType<typeof useGraftRow>
  readonly onAsk: (asked: Asked) => void
}

/** The vine in front, or the end of the row. */
function AtVine({ state, onAsk, ...props }: AtVineProps) {
  const { row, session, manner } = props
  const { t, writing, standing, position, taps, vines, plan } = state
  if (position === null) {
    return (
      <>
        <StepHeader title={t.say('row.end')} about={rowName(row, t)} />
        <p>{atEndWords(state)}</p>
        <WritePanel writing={writing} />
        <Actions>
          <BigButton look="quiet" onPress={() => onAsk('undo')}>
            {t.say('row.undo')}
          </BigButton>
          <BigButton onPress={() => onAsk('more')}>{t.say('row.more')}</BigButton>
          <BigButton onPress={() => props.onFinish(doneWords(state, row))}>
            {t.say('row.finish')}
          </BigButton>
          <BigButton look="main" onPress={props.onOtherRow}>
            {t.say('row.other')}
          </BigButton>
        </Actions>
      </>
    )
  }
  const { disinfectant } = manner
  return (
    <>
      <WritePanel writing={writing} />
      <GraftVine
        {...{ session, row, position, standing, taps, judgement: state.judgement }}
        vine={vineAt(vines, position)}
        passedOver={state.reached.passedOver}
        wood={`${rowName(row, t)} · ${woodWords(state, t)}`}
        leftBuds={state.leftBuds ?? 0}
        budsPerVine={plan?.budsPerVine ?? 2}
        onSkip={() => onAsk('skip')}
        onUndo={() => onAsk('undo')}
        onDisinfect={() =>
          disinfectant === null ? onAsk('disinfect') : taps.tap({ what: 'disinfect', disinfectant })
        }
        onMore={() => onAsk('more')}
        onGoPast={() => state.goTo(position + session.step, session.step)}
      />
    </>
  )
}

function undoable(work: Work, row: PhoneRow, session: GraftSession, t: Speaker): Undoable {
  const { id, deviceCounter } = work.entry.written
  const own = work.rowId === row.rowId ? row : null
  const words = workWords(work, own, own === null ? 'head' : session.countedFrom, t)
  return { entryId: id, counter: deviceCounter, words }
}

type State = ReturnType<typeof useGraftRow>

function woodWords({ lot }: State, t: State['t']): string {
  return lot === null ? t.say('kind.lot') : `${lot.reference} ${lot.varietyName}`
}

function atEndWords({ standing, t }: State): string {
  const vines = t.say('count.vines', { count: standing.grafted })
  return t.say('graft.atEnd', { vines, skipped: standing.skipped })
}

function doneWords({ standing, t }: State, row: PhoneRow): string {
  const vines = t.say('count.vines', { count: standing.graftedHere })
  return t.say('graft.done', { row: row.label, vines })
}
