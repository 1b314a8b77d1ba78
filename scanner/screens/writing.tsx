/** @jsxImportSource preact */
// Writes entries down and says it in words when the phone could not; what was typed stays.
import { useState } from 'preact/hooks'
import { WriteError } from '../phone.ts'
import type { Draft, Phone, WriteTrouble, Written } from '../phone.ts'
import type { PlainKey } from '../words/say.ts'
import { Trouble } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

export interface Writing {
  /** Why the last try failed; null when it did not. */
  readonly trouble: WriteTrouble | null
  /** All or none, in this order. Null when it could not be written: show {@link WritePanel}. */
  readonly write: (...drafts: readonly Draft[]) => Promise<readonly Written[] | null>
  /** Takes the message away. */
  readonly calm: () => void
}

/** Writing for a screen: resolves only when the entries are safely on this phone. */
export function useWriting(phone: Phone): Writing {
  const [trouble, setTrouble] = useState<WriteTrouble | null>(null)
  const write = async (...drafts: readonly Draft[]) => {
    try {
      const written = await phone.writeAll(drafts)
      setTrouble(null)
      return written
    } catch (error) {
      if (!(error instanceof WriteError)) throw error
      setTrouble(error.trouble)
      return null
    }
  }
  return { trouble, write, calm: () => setTrouble(null) }
}

const WORDS: Readonly<Record<WriteTrouble, readonly [what: PlainKey, todo: PlainKey]>> = {
  'storage full': ['write.storageFull.what', 'write.storageFull.todo'],
  'storage broken': ['write.storageBroken.what', 'write.storageBroken.todo'],
  'not enrolled': ['write.notEnrolled.what', 'write.notEnrolled.todo'],
  'bad entry': ['write.badEntry.what', 'write.badEntry.todo'],
  'no person': ['write.noPerson.what', 'write.noPerson.todo'],
}

/** Says that nothing was saved, and how to mend it; nothing when the last try went well. */
export function WritePanel({ writing }: { writing: Writing }) {
  const speaker = useSpeaker()
  if (writing.trouble === null) return null
  const [what, todo] = WORDS[writing.trouble]
  return <Trouble what={speaker.say(what)} todo={speaker.say(todo)} />
}
