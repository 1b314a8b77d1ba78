/** @jsxImportSource preact */
// This phone's last entries, and withdrawing one that was a mistake.
import { useEffect, useState } from 'preact/hooks'
import { NOTE_LIMIT } from '#wire/basics.ts'
import type { Phone, RecentEntry } from '../phone.ts'
import type { PlainKey } from '../words/say.ts'
import { entryAbout, kindWords } from './entry-words.ts'
import { Actions, BigButton, ChoiceList, StepHeader, TextField, Toast } from './parts.tsx'
import { giveSignal } from './signals.ts'
import { useSpeaker } from './speak.tsx'
import { useWriting, WritePanel } from './writing.tsx'

/** How many entries are shown. */
const SHOWN_LIMIT = 50

export function LastEntriesScreen({ phone, onBack }: { phone: Phone; onBack: () => void }) {
  const speaker = useSpeaker()
  const [entries, setEntries] = useState<readonly RecentEntry[] | null>(null)
  const [chosen, setChosen] = useState<RecentEntry | null>(null)
  const [done, setDone] = useState<string | null>(null)
  useEffect(() => {
    let isWanted = true
    const read = async () => {
      const recent = await phone.recent(SHOWN_LIMIT)
      if (isWanted) setEntries(recent)
    }
    void read()
    const stop = phone.onChange(() => void read())
    return () => {
      isWanted = false
      stop()
    }
  }, [phone])
  if (chosen !== null) {
    return (
      <WithdrawStep
        phone={phone}
        entry={chosen}
        onEnd={(isDone) => {
          setChosen(null)
          setDone(isDone ? speaker.say('last.withdraw.done') : null)
        }}
      />
    )
  }
  return (
    <>
      <StepHeader title={speaker.say('last.title')} />
      <Toast words={done} />
      {entries?.length === 0 ? <p>{speaker.say('last.none')}</p> : null}
      <ul class="entries">
        {(entries ?? []).map((entry) => (
          <li key={entry.written.id}>
            <EntryWords phone={phone} entry={entry} />
            {entry.written.kind === 'entry.withdrawn' ? null : (
              <BigButton
                look="quiet"
                label={`${speaker.say('last.withdraw')}: ${kindWords(entry.written.kind, speaker)}`}
                onPress={() => setChosen(entry)}
              >
                {speaker.say('last.withdraw')}
              </BigButton>
            )}
          </li>
        ))}
      </ul>
      <Actions>
        <BigButton onPress={onBack}>{speaker.say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

function EntryWords({ phone, entry }: { phone: Phone; entry: RecentEntry }) {
  const speaker = useSpeaker()
  const about = entryAbout(entry, phone, speaker)
  const { kind, occurredAt } = entry.written
  const state = speaker.say(entry.sent ? 'last.sent' : 'last.unsent')
  return (
    <div class="entry">
      <p class="kind">{kindWords(kind, speaker)}</p>
      {about === '' ? null : <p>{about}</p>}
      <p class="when">
        {speaker.time(occurredAt, phone.now().getTime())} · {state}
      </p>
    </div>
  )
}

type Why = 'wrongThing' | 'wrongCount' | 'notDone' | 'twice' | 'own'
const WHYS: readonly Why[] = ['wrongThing', 'wrongCount', 'notDone', 'twice', 'own']

interface WithdrawStepProps {
  readonly phone: Phone
  readonly entry: RecentEntry
  readonly onEnd: (isDone: boolean) => void
}

function WithdrawStep({ phone, entry, onEnd }: WithdrawStepProps) {
  const speaker = useSpeaker()
  const writing = useWriting(phone)
  const [why, setWhy] = useState<Why | null>(null)
  const [own, setOwn] = useState('')
  const [isAsked, setAsked] = useState(false)
  const key: PlainKey | null = why === null ? null : `last.withdraw.${why}`
  const reason = why === 'own' ? own.trim() : key === null ? '' : speaker.say(key)
  const withdraw = async () => {
    setAsked(true)
    if (reason === '') return
    const body = { entryId: entry.written.id, reason }
    if ((await writing.write({ kind: 'entry.withdrawn', body })) === null) return
    giveSignal('done')
    onEnd(true)
  }
  const needed = isAsked && reason === '' ? speaker.say('last.withdraw.needed') : undefined
  return (
    <>
      <StepHeader
        title={speaker.say('last.withdraw.title')}
        about={speaker.say('last.withdraw.about')}
      />
      <EntryWords phone={phone} entry={entry} />
      <div class="fill" />
      <ChoiceList
        label={speaker.say('last.withdraw.why')}
        choices={WHYS.map((id) => ({ id, words: speaker.say(`last.withdraw.${id}`) }))}
        chosen={why}
        onChoose={setWhy}
      />
      {why === 'own' ? (
        <TextField
          long
          label={speaker.say('last.withdraw.why')}
          value={own}
          error={needed}
          maxLength={NOTE_LIMIT}
          onInput={setOwn}
        />
      ) : (
        <p class="error" role="status">
          {needed}
        </p>
      )}
      <WritePanel writing={writing} />
      <Actions>
        <div class="row">
          <BigButton onPress={() => onEnd(false)}>{speaker.say('part.cancel')}</BigButton>
          <BigButton look="stop" onPress={withdraw}>
            {speaker.say('last.withdraw.do')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}
