/** @jsxImportSource preact */
// Says that a newer version is here; it is taken when the person wants, or at the next start.
import { useEffect, useState } from 'preact/hooks'
import type { Updates } from '../worker/updates.ts'
import { BigButton } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

/** Nothing while there is no newer version. Never shown inside a job. */
export function UpdateNotice({ updates }: { updates: Updates }) {
  const speaker = useSpeaker()
  const [, draw] = useState(0)
  useEffect(() => updates.onChange(() => draw((count) => count + 1)), [updates])
  if (!updates.isWaiting()) return null
  return (
    <aside class="update">
      <p>
        <strong>{speaker.say('update.ready')}</strong> {speaker.say('update.later')}
      </p>
      <BigButton look="quiet" onPress={() => updates.take()}>
        {speaker.say('update.take')}
      </BigButton>
    </aside>
  )
}
