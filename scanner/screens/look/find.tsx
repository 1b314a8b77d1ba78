/** @jsxImportSource preact */
// Looks things up without a tag: lots by reference or variety, rows, places, baths, sources.
import { useState } from 'preact/hooks'
import type { ThingShape } from '#wire/basics.ts'
import type { Phone } from '../../phone.ts'
import type { PlainKey } from '../../words/say.ts'
import { Actions, BigButton, StepHeader, TextField } from '../parts.tsx'
import type { Go } from '../route.ts'
import { useSpeaker } from '../speak.tsx'
import { woodWords } from '../thing-words.ts'

/** Most matches that one group shows. */
const SHOWN_LIMIT = 12

interface Match {
  readonly thing: ThingShape
  readonly words: string
  readonly detail?: string
}

interface Group {
  readonly title: PlainKey
  readonly matches: readonly Match[]
}

export function FindScreen({ phone, go }: { phone: Phone; go: Go }) {
  const speaker = useSpeaker()
  const [wanted, setWanted] = useState('')
  const groups = useGroups(phone).map(({ title, matches }) => ({
    title,
    matches: matches.filter((match) => fits(match, wanted)),
  }))
  const isEmpty = groups.every(({ matches }) => matches.length === 0)
  return (
    <>
      <StepHeader title={speaker.say('look.title')} />
      <TextField label={speaker.say('look.search')} value={wanted} onInput={setWanted} />
      {isEmpty ? <p role="status">{speaker.say('look.none')}</p> : null}
      {groups.map((group) => (
        <GroupList key={group.title} group={group} go={go} />
      ))}
      <Actions>
        <BigButton onPress={() => go({ at: 'scan' })}>{speaker.say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

function GroupList({ group, go }: { group: Group; go: Go }) {
  const speaker = useSpeaker()
  const { matches } = group
  if (matches.length === 0) return null
  const all = matches.length
  return (
    <section>
      <h2>{speaker.say(group.title)}</h2>
      <div class="choices">
        {matches.slice(0, SHOWN_LIMIT).map(({ thing, words, detail }) => (
          <BigButton key={thing.id} detail={detail} onPress={() => go({ at: 'look', thing })}>
            {words}
          </BigButton>
        ))}
      </div>
      {all > SHOWN_LIMIT ? (
        <p class="hint">{speaker.say('look.first', { shown: SHOWN_LIMIT, all })}</p>
      ) : null}
    </section>
  )
}

function useGroups(phone: Phone): readonly Group[] {
  const speaker = useSpeaker()
  const { snapshot } = phone
  const named = (kind: ThingShape['kind'], things: readonly { id: string; name: string }[]) =>
    things.map(({ id, name }): Match => ({ thing: { kind, id }, words: name }))
  return [
    {
      title: 'look.lots',
      matches: snapshot.lots().map((lot) => ({
        thing: { kind: 'lot', id: lot.lotId },
        words: lot.reference,
        detail: woodWords(lot, speaker),
      })),
    },
    {
      title: 'look.rows',
      matches: snapshot.blocks().flatMap((block) =>
        snapshot.rows(block.id).map((row): Match => ({
          thing: { kind: 'row', id: row.rowId },
          words: `${block.name} ${row.label}`,
        })),
      ),
    },
    { title: 'look.places', matches: named('place', snapshot.places()) },
    { title: 'look.baths', matches: named('bath', snapshot.baths()) },
    { title: 'look.sources', matches: named('source', snapshot.sources()) },
  ]
}

function fits({ words, detail = '' }: Match, wanted: string): boolean {
  const text = `${words} ${detail}`.toLocaleLowerCase()
  return wanted
    .toLocaleLowerCase()
    .split(/\s+/)
    .every((part) => text.includes(part))
}
