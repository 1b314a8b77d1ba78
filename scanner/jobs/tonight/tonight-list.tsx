/** @jsxImportSource preact */
// The list itself: when wood goes in and comes out, and each piece large, with what became of it.
import { formatTagCode, isTagCode } from '#trade/tag-code.ts'
import type { KeptTonight, Phone, Tonight } from '../../phone.ts'
import { useNow } from '../../screens/moments.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import type { Speaker } from '../../words/speaker.ts'
import type { Pull, PullLine } from './pulls.ts'

interface TonightListProps {
  readonly phone: Phone
  readonly kept: KeptTonight
  readonly pulls: readonly Pull[]
  readonly onPull: (pull: Pull) => void
  readonly onScan: () => void
  readonly onAgain: () => void
  readonly onBack: () => void
}

export function TonightList(props: TonightListProps) {
  const { phone, kept, pulls, onPull, onScan, onAgain, onBack } = props
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const { list, fetchedAt } = kept
  const left = pulls.filter(({ state }) => state === 'to pull').length
  const age = t.say('tonight.age', { age: t.span(nowMs - Date.parse(fetchedAt)) })
  return (
    <>
      <StepHeader title={t.say('tonight.title')} about={age} />
      {nowMs > Date.parse(list.readyAt) ? <Trouble what={t.say('tonight.over')} /> : null}
      <ul class="pull-times">
        {timesOf(list, t).map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
      {warningsOf(list, t).map((words) => (
        <p class="caution-line" key={words}>
          {words}
        </p>
      ))}
      <p role="status">
        {pulls.length === 0
          ? t.say('tonight.nothing')
          : left === 0
            ? t.say('tonight.allIn')
            : t.say('tonight.left', { count: left })}
      </p>
      <ol class="pulls">
        {pulls.map((pull) => (
          <li key={pull.nr} class={pull.state === 'to pull' ? 'pull' : 'pull done'}>
            <PullFace list={list} pull={pull} onPull={onPull} />
          </li>
        ))}
      </ol>
      <Actions>
        <BigButton look="main" disabled={left === 0} onPress={onScan}>
          {t.say('tonight.scan')}
        </BigButton>
        <div class="row small-words">
          <BigButton look="quiet" onPress={onBack}>
            {t.say('part.back')}
          </BigButton>
          <BigButton look="quiet" onPress={onAgain}>
            {t.say('tonight.again')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

interface PullFaceProps {
  readonly list: Tonight
  readonly pull: Pull
  readonly onPull: (pull: Pull) => void
}

/** A line that is still to be pulled can be tapped, for loose wood carries no tag. */
function PullFace({ list, pull, onPull }: PullFaceProps) {
  const t = useSpeaker()
  const { line, state } = pull
  const detail = [whatWords(line, t), whereWords(line, list, t), stateWords(pull, t)]
  const face = (
    <>
      <span class="pull-tag">{tagWords(line, t)}</span>
      {detail.map((words) => (
        <span class="pull-words" key={words}>
          {words}
        </span>
      ))}
    </>
  )
  if (state !== 'to pull') return <div class="pull-face">{face}</div>
  return <BigButton onPress={() => onPull(pull)}>{face}</BigButton>
}

/** Like `Mon 06:30`: a night's list is never of more than the next days. */
function dayTime(when: string, t: Speaker): string {
  const parts = { weekday: 'short', hour: '2-digit', minute: '2-digit' } as const
  return new Intl.DateTimeFormat(t.locale, parts).format(new Date(when))
}

function timesOf(list: Tonight, t: Speaker): string[] {
  const into = list.intoWaterAt
  return [
    ...(into === null ? [] : [t.say('tonight.into', { time: dayTime(into, t) })]),
    t.say('tonight.out', { time: dayTime(list.outOfWaterAt, t) }),
    t.say('tonight.ready', { time: dayTime(list.readyAt, t) }),
  ]
}

function warningsOf(list: Tonight, t: Speaker): string[] {
  const problems = list.problems.map(({ code, at, sticks }) => {
    if (code === 'too late') {
      return t.say('tonight.tooLate', { time: at === null ? '' : dayTime(at, t) })
    }
    if (code === 'moved') return t.say('tonight.moved')
    return code === 'no tank'
      ? t.say('tonight.noTank')
      : t.say('tonight.tanksFull', { count: sticks ?? 0 })
  })
  const short = list.needs.flatMap(({ variety, clone, shortage }) => {
    if (shortage === 0) return []
    const name = [variety ?? t.say('tonight.anyVariety'), clone].filter((one) => one !== null)
    return [t.say('tonight.short', { variety: name.join(' '), count: shortage })]
  })
  return [...problems, ...short]
}

function tagWords({ tagCode }: PullLine, t: Speaker): string {
  if (tagCode === null) return t.say('tonight.loose')
  return isTagCode(tagCode) ? formatTagCode(tagCode) : tagCode
}

/** Like `27-014 · bundle 2 · 25 sticks`. */
function whatWords({ reference, bundleNumber, sticks, isWhole }: PullLine, t: Speaker): string {
  const nr = bundleNumber === null ? [] : [t.say('wood.bundleNr', { nr: bundleNumber })]
  const count = t.say('count.sticks', { count: sticks })
  return [reference, ...nr, isWhole ? count : t.say('tonight.part', { what: count })].join(' · ')
}

function whereWords({ from, tankId, stays }: PullLine, list: Tonight, t: Speaker): string {
  if (stays) return from
  const tank = list.tanks.find((one) => one.tankId === tankId)?.name
  return tank === undefined
    ? t.say('tonight.noRoom', { from })
    : t.say('tonight.to', { from, tank })
}

/** A sign and a word, never a colour alone. */
function stateWords({ state, line }: Pull, t: Speaker): string {
  if (state === 'in water') return `✓ ${t.say('tonight.done')}`
  if (state === 'leave') return `≈ ${t.say('tonight.leave')}`
  const careful = line.cautions.length === 0 ? [] : [t.say('tonight.careful')]
  return [`○ ${t.say('tonight.pull')}`, ...careful].join(' · ')
}
