/** @jsxImportSource preact */
// Says that a newer version is here; it is taken when the person wants, or at the next start.
import { useEffect, useState } from 'preact/hooks'
import { BigButton } from './parts.tsx'
import { useSpeaker } from './speak.tsx'

/** What the app needs to know of a newer version. */
export interface Update {
  /** Is a newer version loaded and waiting? */
  isWaiting(): boolean
  /** Calls back when that changes; returns how to stop. */
  onChange(listener: () => void): () => void
  /** Changes over; the page loads anew. */
  take(): void
}

/** Nothing while there is no newer version. Never shown inside a job. */
export function UpdateNotice({ update }: { update: Update }) {
  const speaker = useSpeaker()
  const [, draw] = useState(0)
  useEffect(() => update.onChange(() => draw((count) => count + 1)), [update])
  if (!update.isWaiting()) return null
  return (
    <aside class="update">
      <p>
        <strong>{speaker.say('update.ready')}</strong> {speaker.say('update.later')}
      </p>
      <BigButton look="quiet" onPress={() => update.take()}>
        {speaker.say('update.take')}
      </BigButton>
    </aside>
  )
}
