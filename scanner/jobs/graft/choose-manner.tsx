/** @jsxImportSource preact */
// Asks for method and tie, once; both are remembered.
import { useState } from 'preact/hooks'
import { useSpeaker } from '../../screens/speak.tsx'
import { METHODS, TIES } from '../said.ts'
import { SayWhy } from '../say-why.tsx'

interface ChooseMannerProps {
  /** Methods that the nursery's records use besides the usual ones. */
  readonly methods: readonly string[]
  readonly onChosen: (method: string, tie: string) => unknown
  readonly onBack: () => void
}

/** Two taps: how the graft is made, and what ties it. */
export function ChooseManner({ methods, onChosen, onBack }: ChooseMannerProps) {
  const t = useSpeaker()
  const [method, setMethod] = useState<string | null>(null)
  if (method === null) {
    const offered = [...new Set([...methods, ...METHODS])]
    return <SayWhy title={t.say('graft.how')} offered={offered} onSay={setMethod} onBack={onBack} />
  }
  return (
    <SayWhy
      title={t.say('graft.tie')}
      offered={TIES}
      onSay={(tie) => onChosen(method, tie)}
      onBack={() => setMethod(null)}
    />
  )
}
