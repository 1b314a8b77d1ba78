/** @jsxImportSource preact */
// The screen that a grafter looks at all day: the vine's number, and one big button for it.
import type { Judgement } from '#trade/judge.ts'
import type { PhoneRow, PhoneVine } from '../../phone.ts'
import { Actions, BigButton } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { VerdictPanel } from '../../screens/verdict.tsx'
import { TapSaid } from '../tap-said.tsx'
import type { Taps } from '../taps.ts'
import { VineFace } from '../vine-face.tsx'
import { shownNumber } from '../walk.ts'
import type { Reached } from '../walk.ts'
import type { GraftSession, Standing } from './session.ts'
import type { GraftWish } from './wish.ts'

interface GraftVineProps {
  readonly session: GraftSession
  readonly row: PhoneRow
  readonly vine: PhoneVine | null
  readonly position: number
  readonly passedOver: Reached['passedOver']
  readonly standing: Standing
  readonly judgement: Judgement | null
  /** What is grafted with, in a few words. */
  readonly wood: string
  readonly leftBuds: number
  /** Buds on a vine by the plan: the biggest button. */
  readonly budsPerVine: number
  readonly taps: Taps<GraftWish>
  readonly onSkip: () => void
  readonly onUndo: () => void
  readonly onDisinfect: () => unknown
  readonly onMore: () => void
  readonly onGoPast: () => unknown
}

/** Everything at the thumb; above it, in order, what the eye wants: number, verdict, counts. */
export function GraftVine(props: GraftVineProps) {
  const { session, row, position, passedOver, budsPerVine, taps } = props
  const t = useSpeaker()
  const buds = (count: number) => t.say('count.buds', { count })
  const set = (count: number) => () => taps.tap({ what: 'buds', count })
  const other = budsPerVine === 1 ? 2 : 1
  return (
    <>
      <p class="about">{props.wood}</p>
      <VineFace
        row={row}
        position={position}
        countedFrom={session.countedFrom}
        passedOver={passedOver}
        because="missing"
      />
      <AlreadyThere {...props} />
      <VerdictPanel judgement={props.judgement} small />
      <Counts standing={props.standing} leftBuds={props.leftBuds} />
      <Actions>
        <TapSaid taps={taps} vine={shownNumber(row, position, session.countedFrom)} />
        <div class="row tall">
          <BigButton look="main" onPress={set(budsPerVine)}>
            {buds(budsPerVine)}
          </BigButton>
        </div>
        <div class="row">
          <BigButton onPress={set(other)}>{buds(other)}</BigButton>
          <BigButton onPress={props.onSkip}>{t.say('graft.skip')}</BigButton>
        </div>
        <div class="row small-words">
          <BigButton look="quiet" onPress={props.onUndo}>
            {t.say('row.undo')}
          </BigButton>
          <BigButton look="quiet" onPress={props.onDisinfect}>
            {t.say('graft.disinfect')}
          </BigButton>
          <BigButton look="quiet" onPress={props.onMore}>
            {t.say('row.more')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

/** A vine that somebody has worked already is said before the tap, not after. */
function AlreadyThere({ vine, onGoPast }: GraftVineProps) {
  const t = useSpeaker()
  const grafts = vine?.grafts.filter((graft) => !graft.removed).length ?? 0
  if (grafts === 0 && vine?.skipped !== true) return null
  return (
    <div class="note-line">
      <p>
        {grafts > 0 ? t.say('graft.already', { count: grafts }) : t.say('graft.alreadySkipped')}
      </p>
      <BigButton look="quiet" onPress={onGoPast}>
        {t.say('row.goPast')}
      </BigButton>
    </div>
  )
}

function Counts({ standing, leftBuds }: Pick<GraftVineProps, 'standing' | 'leftBuds'>) {
  const t = useSpeaker()
  const { grafted, pace } = standing
  return (
    <p class="counts">
      <span>{t.say('graft.count', { count: grafted })}</span>
      <span>
        {pace === null ? t.say('graft.noPace') : t.say('graft.pace', { count: Math.round(pace) })}
      </span>
      <span>
        {leftBuds > 0 ? t.say('graft.left', { count: leftBuds }) : t.say('graft.noneLeft')}
      </span>
    </p>
  )
}
