/** @jsxImportSource preact */
// What a read tag is, in large words, whether it may be used and why, and what can be done next.
import { useEffect } from 'preact/hooks'
import type { Verdict } from '#trade/reasons.ts'
import type { Found, Phone } from '../phone.ts'
import { verdictIn } from '../words/reason-words.ts'
import { foundProblem } from './found-words.ts'
import type { FoundProblem } from './found-words.ts'
import type { Job } from './job.ts'
import { ThingFacts } from './look/thing-facts.tsx'
import { useNow } from './moments.ts'
import { Actions, BigButton, StepHeader, Trouble } from './parts.tsx'
import type { Go } from './route.ts'
import { giveSignal } from './signals.ts'
import type { Signal } from './signals.ts'
import { usePhone, useSpeaker } from './speak.tsx'
import { foundTitle, lotOf, thingAbout, woodOf, woodWords } from './thing-words.ts'
import { useTypedReader } from './typed-reader.ts'
import { VerdictPanel, VerdictShape } from './verdict.tsx'

interface FoundScreenProps {
  readonly phone: Phone
  readonly jobs: readonly Job[]
  readonly text: string
  readonly begin: (job: Job, found: Found) => void
  readonly go: Go
  /** The next tag may be read by a typing reader without a press in between. */
  readonly onText: (text: string) => void
}

export function FoundScreen({ phone, jobs, text, begin, go, onText }: FoundScreenProps) {
  const speaker = useSpeaker()
  const nowMs = useNow(phone)
  useTypedReader(onText)
  const found = phone.snapshot.find(text)
  const problem = foundProblem(found, phone, speaker)
  const lot = lotOf(found, phone)
  const wood = woodOf(found, phone)
  const judgement = wood === null ? null : phone.snapshot.judgeWood(wood, null, nowMs)
  const signal: Signal =
    problem === null ? (judgement?.verdict ?? 'ready') : (problemVerdict(found) ?? 'caution')
  // A verdict that changes while the tag is shown is signalled as well.
  useEffect(() => giveSignal(signal), [signal])
  const offered = jobs
    .filter((job) => job.offeredFor(found, phone))
    .sort((one, other) => one.order - other.order)
  const about =
    lot !== null
      ? woodWords(lot, speaker)
      : found.what === 'thing'
        ? thingAbout(found.thing, found.code, speaker)
        : undefined
  // With a stop no job is put at the thumb.
  const first = signal === 'stop' ? undefined : offered[0]
  const others = offered.filter((job) => job !== first)
  return (
    <>
      <StepHeader title={foundTitle(found, phone, speaker)} about={about} />
      {problem === null ? null : <ProblemPanel problem={problem} verdict={problemVerdict(found)} />}
      {lot === null ? null : <VerdictPanel judgement={judgement} />}
      {found.what === 'thing' ? <ThingFacts phone={phone} thing={found.thing} /> : null}
      <div class="fill" />
      <Offered {...{ found, others, begin }} />
      <Actions>
        {first === undefined ? null : (
          <BigButton look="main" onPress={() => begin(first, found)}>
            {speaker.say(first.title)}
          </BigButton>
        )}
        <div class="row">
          {found.what === 'thing' ? (
            <BigButton look="quiet" onPress={() => go({ at: 'look', thing: found.thing })}>
              {speaker.say('scan.details')}
            </BigButton>
          ) : null}
          <BigButton
            look={first === undefined ? 'main' : 'plain'}
            onPress={() => go({ at: 'scan' })}
          >
            {speaker.say('scan.next')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

interface ProblemPanelProps {
  readonly problem: FoundProblem
  readonly verdict: Verdict | null
}

/** What cannot be used as it is; with a verdict where the tag may hang on wood. */
function ProblemPanel({ problem, verdict }: ProblemPanelProps) {
  const { language } = usePhone().settings
  if (verdict === null) return <Trouble {...problem} />
  return (
    <section class={`verdict ${verdict}`}>
      <p class="word" role="status">
        <VerdictShape verdict={verdict} />
        {verdictIn(language, verdict)}
      </p>
      <div class="why">
        <p class="sentence">{problem.what}</p>
        <p class="fact">{problem.fact}</p>
        <p>{problem.todo}</p>
      </div>
    </section>
  )
}

/** A tag that may hang on wood of unknown kind stops its use; a new tag asks for care. */
function problemVerdict(found: Found): Verdict | null {
  if (found.what === 'unbound') return 'caution'
  const stops: readonly Found['what'][] = ['ended', 'unknown code', 'other nursery']
  return stops.includes(found.what) ? 'stop' : null
}

interface OfferedProps {
  readonly found: Found
  readonly others: readonly Job[]
  readonly begin: (job: Job, found: Found) => void
}

/** What else can be done with the tag, beside the first job, which stays at the thumb. */
function Offered({ found, others, begin }: OfferedProps) {
  const speaker = useSpeaker()
  if (others.length === 0) return null
  return (
    <section class="two" aria-label={speaker.say('scan.offered')}>
      {others.map((job) => (
        <BigButton key={job.id} onPress={() => begin(job, found)}>
          {speaker.say(job.title)}
        </BigButton>
      ))}
    </section>
  )
}
