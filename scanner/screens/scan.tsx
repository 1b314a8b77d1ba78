/** @jsxImportSource preact */
// The one screen that everything begins on: camera, typed code, typing reader.
import { useState } from 'preact/hooks'
import { JOBS } from '../jobs/jobs.ts'
import type { Phone } from '../phone.ts'
import { Actions, BigButton, StepHeader, Toast } from './parts.tsx'
import { Reader } from './reader.tsx'
import type { Go } from './route.ts'
import { giveSignal } from './signals.ts'
import { useSpeaker } from './speak.tsx'
import { WhichTag } from './which-tag.tsx'

interface ScanScreenProps {
  readonly phone: Phone
  readonly onText: (text: string) => void
  readonly go: Go
  /** What a job said when it was done. */
  readonly done: string | null
}

export function ScanScreen({ phone, onText, go, done }: ScanScreenProps) {
  const speaker = useSpeaker()
  const [several, setSeveral] = useState<readonly string[] | null>(null)
  if (several !== null) {
    return (
      <WhichTag phone={phone} texts={several} onChoose={onText} onNone={() => setSeveral(null)} />
    )
  }
  const ask = (texts: readonly string[]) => {
    giveSignal('caution')
    setSeveral(texts)
  }
  return (
    <>
      <div class="unseen">
        <StepHeader title={speaker.say('scan.title')} />
      </div>
      <Toast words={done} />
      <Reader ask={speaker.say('reader.ask')} onText={onText} onSeveral={ask} />
      <Actions>
        <div class="row">
          {JOBS.some((job) => job.withoutScan) ? (
            <BigButton onPress={() => go({ at: 'without' })}>
              {speaker.say('scan.without')}
            </BigButton>
          ) : null}
          <BigButton look="quiet" onPress={() => go({ at: 'more' })}>
            {speaker.say('scan.more')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}
