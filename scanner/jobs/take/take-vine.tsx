/** @jsxImportSource preact */
// The vine in front in a take check: its number, its grafts, three words each.
import { Actions, BigButton, Trouble } from '../../screens/parts.tsx'
import { WritePanel } from '../../screens/writing.tsx'
import { TapSaid } from '../tap-said.tsx'
import { rowName } from '../row-picker.tsx'
import type { RowWalk } from '../row-walk.tsx'
import { VineFace } from '../vine-face.tsx'
import { shownNumber } from '../walk.ts'
import { allSeen, anySeen } from './take-drafts.ts'
import type { Seen } from './take-drafts.ts'
import type { Extras } from './take-extras.tsx'
import { TakeFates } from './take-fates.tsx'
import { dayWords } from './take-words.ts'
import type { TakeAsked, TakeState } from './take-row.tsx'

interface TakeVineProps {
  readonly walk: RowWalk
  readonly state: TakeState
  readonly position: number
  readonly onAsk: (asked: TakeAsked) => void
}

/** Saved by the tap that says the last thing about the vine. */
export function TakeVine({ walk, state, position, onAsk }: TakeVineProps) {
  const { phone, row, session } = walk
  const { t, grafts, at, setAt, taps, manner } = state
  const tapSeen = (seen: Seen) => {
    setAt({ ...at, position, seen })
    return allSeen(seen) ? taps.tap(seen) : undefined
  }
  const checkedAt = grafts.map((graft) => graft.takeCheckedAt).find((when) => when !== null)
  const partly = anySeen(at.seen) && !allSeen(at.seen)
  const fates = <TakeFates {...{ phone, grafts, manner }} seen={at.seen} onSeen={tapSeen} />
  // One graft fits at the thumb; more than that scrolls under the vine's number.
  const isOne = grafts.length === 1 && manner === 'by graft'
  return (
    <>
      <div class={isOne ? '' : 'compact'}>
        <VineFace
          {...{ row, position }}
          passedOver={state.reached.passedOver}
          countedFrom={session.countedFrom}
          because="ungrafted"
        />
      </div>
      <p class="counts">
        <span>{rowName(row, t)}</span>
        <span>{t.say('take.count', { count: state.works.length })}</span>
        {checkedAt === undefined || checkedAt === null ? null : (
          <span>{t.say('take.checked', { when: dayWords(checkedAt, t) })}</span>
        )}
      </p>
      <WritePanel writing={state.writing} />
      {state.photoLost ? <Trouble what={t.say('take.photoLost')} /> : null}
      {isOne ? null : fates}
      <Actions>
        <TapSaid taps={taps} vine={shownNumber(row, position, session.countedFrom)} />
        {isOne ? fates : null}
        {partly ? (
          <BigButton look="main" onPress={() => taps.tap(at.seen)}>
            {t.say('take.saveSeen')}
          </BigButton>
        ) : null}
        <div class="row small-words">
          <BigButton look="quiet" onPress={() => onAsk('undo')}>
            {t.say('row.undo')}
          </BigButton>
          <BigButton look="quiet" pressed={isAdded(at.extras)} onPress={() => onAsk('add')}>
            {t.say('take.add')}
          </BigButton>
          <BigButton look="quiet" onPress={() => walk.goTo(position + session.step, session.step)}>
            {t.say('take.notSeen')}
          </BigButton>
          <BigButton look="quiet" onPress={() => onAsk('more')}>
            {t.say('row.more')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

function isAdded({ shootLengthMm, photo, note }: Extras): boolean {
  return shootLengthMm !== null || photo !== null || note !== ''
}
