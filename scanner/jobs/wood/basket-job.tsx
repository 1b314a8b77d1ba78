/** @jsxImportSource preact */
// The frame of a job about wood: gather it by scanning, then say where it goes or why.
import { useState } from 'preact/hooks'
import type { ComponentChildren } from 'preact'
import type { Draft, Written } from '../../phone.ts'
import type { JobProps } from '../../screens/job.ts'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { scannedWood } from '../scanned-wood.ts'
import { linesOf } from './basket.ts'
import type { Line, TakesFrom } from './basket.ts'
import { BasketStep } from './basket-step.tsx'

/** What the last step of the job is given. */
export interface BasketTarget {
  readonly lines: readonly Line[]
  /** Null when it could not be written; the reason is on the screen. */
  readonly write: (drafts: readonly Draft[]) => Promise<readonly Written[] | null>
  readonly back: () => void
}

interface BasketJobProps extends JobProps {
  readonly title: string
  readonly takesFrom: TakesFrom
  readonly onlyKnown?: boolean
  /** Wood that is on the list from the start, besides what was scanned. */
  readonly initial?: readonly Line[]
  readonly children: (target: BasketTarget) => ComponentChildren
}

/** Wood scanned before the job was chosen is on the list already. */
export function BasketJob(props: BasketJobProps) {
  const { phone, found, close, title, takesFrom, onlyKnown = false, children } = props
  const { initial = [] } = props
  const t = useSpeaker()
  const writing = useWriting(phone)
  const scanned = scannedWood(found, phone)
  const lot = scanned === null ? null : phone.snapshot.lot(scanned.lotId)
  const [lines, setLines] = useState<readonly Line[]>(() =>
    scanned === null || lot === null
      ? initial
      : linesOf(lot, scanned, phone.settings.personId, takesFrom),
  )
  const [isGathered, setGathered] = useState(false)
  if (!isGathered) {
    const toCount = lines.length === 0 && lot !== null && !onlyKnown ? scanned : null
    return (
      <BasketStep
        {...{ phone, title, takesFrom, onlyKnown, lines, toCount }}
        onLines={setLines}
        onNext={() => setGathered(true)}
        onBack={() => close()}
      />
    )
  }
  return (
    <>
      <WritePanel writing={writing} />
      {children({
        lines,
        write: (drafts) => writing.write(...drafts),
        back: () => setGathered(false),
      })}
      <p class="unseen">{t.say('basket.lines', { count: lines.length })}</p>
    </>
  )
}
