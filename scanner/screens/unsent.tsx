/** @jsxImportSource preact */
// What is not at the office yet: how much, since when, why, what was set aside, and as a file.
import { useState } from 'preact/hooks'
import type { Phone, SendState, SetAsideEntry } from '../phone.ts'
import type { PlainKey } from '../words/say.ts'
import { asideWords, kindWords } from './entry-words.ts'
import { useNow } from './moments.ts'
import { Actions, BigButton, Facts, StepHeader, Toast, Trouble } from './parts.tsx'
import type { ButtonLook } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

/** A clock that is further off than this is told of, in milliseconds. */
const CLOCK_TOLD_MS = 5 * 60_000

const STATE_WORDS: Readonly<Record<SendState, PlainKey>> = {
  idle: 'send.idle',
  sending: 'send.sending',
  'no network': 'send.noNetwork',
  'server trouble': 'send.serverTrouble',
  'not let in': 'send.notLetIn',
  'waiting for the office': 'send.waiting',
  revoked: 'send.revoked',
  'not enrolled': 'send.notEnrolled',
}

export function UnsentScreen({ phone, onBack }: { phone: Phone; onBack: () => void }) {
  const speaker = useSpeaker()
  const hasAny = phone.unsent.count > 0 || phone.unsent.setAside.length > 0
  return (
    <>
      <StepHeader title={speaker.say('unsent.title')} />
      <UnsentFacts phone={phone} />
      <ClockNotice phone={phone} />
      <SetAsideList phone={phone} />
      <div class="fill" />
      <Actions>
        <BigButton look="main" onPress={() => phone.sync()}>
          {speaker.say('unsent.send')}
        </BigButton>
        {hasAny ? <ExportButton phone={phone} /> : null}
        <BigButton onPress={onBack}>{speaker.say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

export function UnsentFacts({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  const nowMs = useNow(phone)
  const { count, oldestAt, lastSentAt, state, setAside } = phone.unsent
  const { takenAt } = phone.snapshot
  const age = (at: string) => speaker.span(nowMs - Date.parse(at))
  return (
    <>
      {count === 0 && setAside.length === 0 ? <p>{speaker.say('unsent.none')}</p> : null}
      <Facts
        rows={[
          [speaker.say('unsent.count'), speaker.say('count.entries', { count })],
          ...(oldestAt === null
            ? []
            : [
                [
                  speaker.say('unsent.oldest'),
                  speaker.say('strip.age', { age: age(oldestAt) }),
                ] as const,
              ]),
          [
            speaker.say('unsent.lastSent'),
            lastSentAt === null ? speaker.say('unsent.never') : speaker.time(lastSentAt, nowMs),
          ],
          [speaker.say('unsent.state'), speaker.say(STATE_WORDS[state])],
          [
            speaker.say('strip.records'),
            takenAt === null
              ? speaker.say('strip.noRecords')
              : speaker.say('strip.age', { age: age(takenAt) }),
          ],
        ]}
      />
    </>
  )
}

/** Says how far the clock is off, when it is further than five minutes. */
export function ClockNotice({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  const offsetMs = phone.unsent.clockOffsetMs
  if (offsetMs === null || Math.abs(offsetMs) <= CLOCK_TOLD_MS) return null
  const span = speaker.span(Math.abs(offsetMs))
  return (
    <Trouble
      what={speaker.say(offsetMs < 0 ? 'unsent.clock.ahead' : 'unsent.clock.behind', { span })}
      todo={speaker.say('unsent.clock.todo')}
    />
  )
}

export function SetAsideList({ phone }: { phone: Phone }) {
  const speaker = useSpeaker()
  const { setAside } = phone.unsent
  if (setAside.length === 0) return null
  return (
    <section>
      <h2>{speaker.say('unsent.aside.title')}</h2>
      <p>{speaker.say('unsent.aside.about')}</p>
      <ul class="entries">
        {setAside.map((entry) => (
          <AsideLine key={entry.id} entry={entry} />
        ))}
      </ul>
    </section>
  )
}

function AsideLine({ entry }: { entry: SetAsideEntry }) {
  const speaker = useSpeaker()
  return (
    <li>
      <p class="kind">{kindWords(entry.kind, speaker)}</p>
      <p>{speaker.dateTime(entry.occurredAt)}</p>
      <p>{speaker.say(asideWords(entry.code))}</p>
      {/* The server's own words, for the office. */}
      <p class="fact" lang="en">
        {entry.code}: {entry.detail}
      </p>
    </li>
  )
}

interface ExportButtonProps {
  readonly phone: Phone
  readonly look?: ButtonLook
}

/** Makes a file of all that is not at the office, and hands it to the phone's own files. */
export function ExportButton({ phone, look = 'plain' }: ExportButtonProps) {
  const speaker = useSpeaker()
  const [isMade, setMade] = useState(false)
  const save = async () => {
    offerFile(await phone.exportUnsent(), `canemark-${phone.now().toISOString().slice(0, 10)}.json`)
    setMade(true)
  }
  return (
    <>
      <Toast words={isMade ? speaker.say('unsent.exported') : null} />
      <BigButton look={look} onPress={save}>
        {speaker.say('unsent.export')}
      </BigButton>
    </>
  )
}

function offerFile(file: Blob, name: string): void {
  const address = URL.createObjectURL(file)
  const link = document.createElement('a')
  link.href = address
  link.download = name
  link.click()
  // The download has its own hold of the file by the time that the address is given up.
  setTimeout(() => URL.revokeObjectURL(address), 60_000)
}
