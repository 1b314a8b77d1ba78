/** @jsxImportSource preact */
// Always in view: who works, how old the records are, how much is unsent and since when.
import type { Phone, Unsent } from '../phone.ts'
import type { Speaker } from '../words/speaker.ts'
import { useNow } from './moments.ts'
import type { Go } from './route.ts'
import { useSpeaker } from './speak.tsx'

interface StripProps {
  readonly phone: Phone
  readonly go: Go
  /** In a job the strip only shows; a slip of the thumb must not leave the job. */
  readonly busy: boolean
}

export function Strip({ phone, go, busy }: StripProps) {
  const speaker = useSpeaker()
  const nowMs = useNow(phone)
  const { personId } = phone.settings
  const name = personId === null ? null : phone.snapshot.nameOf(personId)
  const { takenAt } = phone.snapshot
  const age = takenAt === null ? null : speaker.span(nowMs - Date.parse(takenAt))
  return (
    <nav class="strip" aria-label={speaker.say('strip.label')}>
      <Cell
        label={speaker.say('strip.person')}
        fact={name ?? speaker.say('strip.noPerson')}
        onPress={busy ? null : () => go({ at: 'person' })}
      />
      <Cell
        label={speaker.say('strip.records')}
        fact={age === null ? speaker.say('strip.noRecords') : speaker.say('strip.age', { age })}
        onPress={busy ? null : () => go({ at: 'unsent' })}
      />
      <Cell
        label={speaker.say('strip.unsent')}
        fact={unsentWords(phone.unsent, speaker, nowMs)}
        onPress={busy ? null : () => go({ at: 'unsent' })}
      />
    </nav>
  )
}

interface CellProps {
  readonly label: string
  readonly fact: string
  readonly onPress: (() => void) | null
}

function Cell({ label, fact, onPress }: CellProps) {
  const inside = (
    <>
      <span class="name">{label}</span>
      <span class="fact">{fact}</span>
    </>
  )
  if (onPress === null) return <p class="cell">{inside}</p>
  return (
    <button type="button" class="cell" onClick={onPress}>
      {inside}
    </button>
  )
}

function unsentWords(unsent: Unsent, speaker: Speaker, nowMs: number): string {
  if (unsent.count === 0 && unsent.setAside.length > 0) {
    return speaker.say('strip.aside', { count: unsent.setAside.length })
  }
  if (unsent.count === 0 || unsent.oldestAt === null) return speaker.say('strip.allSent')
  const age = speaker.span(nowMs - Date.parse(unsent.oldestAt))
  return speaker.say('strip.oldest', { count: unsent.count, age })
}
