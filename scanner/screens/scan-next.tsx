/** @jsxImportSource preact */
// Scanning inside a job for the next tag: says what does not fit and goes on reading.
import { useState } from 'preact/hooks'
import type { Found, Phone } from '../phone.ts'
import { foundProblem } from './found-words.ts'
import type { FoundProblem } from './found-words.ts'
import { Trouble } from './parts.tsx'
import { Reader } from './reader.tsx'
import { giveSignal } from './signals.ts'
import { useSpeaker } from './speak.tsx'
import { WhichTag } from './which-tag.tsx'

interface ScanNextProps {
  readonly phone: Phone
  /** What is wanted, such as `Scan the next bundle`. */
  readonly ask: string
  readonly onFound: (found: Found) => void
  /**
   * Whether a read is what the job wants: true, or the sentence that says why not. Without it, any
   * thing of this nursery is taken and everything else is explained. Tags that are not bound yet
   * reach `fits` as well, so that a job may bind them.
   */
  readonly fits?: (found: Found) => true | string
}

/** Camera, typed code and typing reader, inside a job. */
export function ScanNext({ phone, ask, onFound, fits }: ScanNextProps) {
  const speaker = useSpeaker()
  const [problem, setProblem] = useState<FoundProblem | null>(null)
  const [several, setSeveral] = useState<readonly string[] | null>(null)
  const [turn, setTurn] = useState(0)
  const take = (text: string) => {
    setSeveral(null)
    const found = phone.snapshot.find(text)
    const answer = fits?.(found) ?? (found.what === 'thing' ? true : null)
    setTurn((count) => count + 1)
    if (answer === true) {
      setProblem(null)
      giveSignal('done')
      onFound(found)
      return
    }
    giveSignal('stop')
    const known = foundProblem(found, phone, speaker)
    setProblem(
      typeof answer === 'string' && answer !== ''
        ? { what: answer, todo: known?.todo ?? speaker.say('found.notThis.todo') }
        : (known ?? { what: speaker.say('found.notThis.what'), todo: ask }),
    )
  }
  return (
    <div class="scan-next">
      {several === null ? (
        <Reader ask={ask} onText={take} onSeveral={setSeveral} turn={turn} />
      ) : (
        <WhichTag phone={phone} texts={several} onChoose={take} onNone={() => setSeveral(null)} />
      )}
      {problem === null ? null : <Trouble {...problem} />}
    </div>
  )
}
