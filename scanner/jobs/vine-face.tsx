/** @jsxImportSource preact */
// The vine's number, the first thing the eye meets, and what was passed over to get there.
import type { PhoneRow } from '../phone.ts'
import { useSpeaker } from '../screens/speak.tsx'
import { runs, shownNumber } from './walk.ts'
import type { CountedFrom } from './walk.ts'

interface VineFaceProps {
  readonly row: PhoneRow
  readonly position: number
  readonly countedFrom: CountedFrom
  readonly passedOver: readonly number[]
  /** Why vines are passed over in this walk. */
  readonly because: 'missing' | 'ungrafted' | 'untied'
}

/** The number as the person counts, large. */
export function VineFace({ row, position, countedFrom, passedOver, because }: VineFaceProps) {
  const t = useSpeaker()
  const number = shownNumber(row, position, countedFrom)
  const passed = passedOver.map((one) => shownNumber(row, one, countedFrom))
  const words = { count: passed.length, positions: t.list(runs(passed)) }
  return (
    <div class="vine-face">
      <h1>
        <span class="vine-label">{t.say('row.vine')} </span>
        <span class="vine-number">{t.number(number)}</span>
        <span class="vine-label"> {t.say('row.of', { last: row.positionCount })}</span>
      </h1>
      {passed.length === 0 ? null : <p class="vine-note">{t.say(PASSED_WORDS[because], words)}</p>}
    </div>
  )
}

const PASSED_WORDS = {
  missing: 'row.passedMissing',
  ungrafted: 'row.passedUngrafted',
  untied: 'row.passedUntied',
} as const
