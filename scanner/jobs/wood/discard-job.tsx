/** @jsxImportSource preact */
// Wood thrown away, for a reason.
import type { Job, JobProps } from '../../screens/job.ts'
import { useSpeaker } from '../../screens/speak.tsx'
import { DISCARD_REASONS } from '../said.ts'
import { SayWhy } from '../say-why.tsx'
import { isWoodTag } from '../scanned-wood.ts'
import { BasketJob } from './basket-job.tsx'
import { discardDrafts } from './wood-drafts.ts'

function DiscardScreen(props: JobProps) {
  const { phone, close } = props
  const t = useSpeaker()
  return (
    <BasketJob {...props} title={t.say('discard.title')} takesFrom={() => true}>
      {(target) => (
        <SayWhy
          title={t.say('discard.why')}
          offered={DISCARD_REASONS}
          onSay={async (reason) => {
            const hand = phone.settings.personId
            if (hand === null) return
            const portions = target.lines.map(({ portion }) => portion)
            const written = await target.write(discardDrafts(portions, reason, hand))
            if (written !== null) close(t.say('discard.done'))
          }}
          onBack={target.back}
        />
      )}
    </BasketJob>
  )
}

export const discardJob: Job = {
  id: 'discard',
  title: 'discard.title',
  order: 70,
  withoutScan: true,
  offeredFor: (found) => isWoodTag(found),
  Screen: DiscardScreen,
}
