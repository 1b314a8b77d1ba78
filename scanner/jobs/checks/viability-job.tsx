/** @jsxImportSource preact */
// Living buds of a sample: how it was looked at, how many, how many live, what was used up.
import { useState } from 'preact/hooks'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, ChoiceList, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { likelyAccount } from '../held.ts'
import { NumberStep } from '../number-step.tsx'
import { bundleWords, isWoodTag, scannedWood } from '../scanned-wood.ts'
import { viabilityDraft, viabilityProblem } from './check-drafts.ts'
import type { Viability } from './check-drafts.ts'
import { SampleStep, useSampledWood } from './sample-step.tsx'

const SAMPLE_LIMIT = 10_000
const FORCED_DAYS_LIMIT = 120

function ViabilityScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [wood, setWood] = useSampledWood(found, phone)
  const [method, setMethod] = useState<Viability['method'] | null>(null)
  const [forcedDays, setDays] = useState<number | null>(null)
  const [sampledCount, setSampled] = useState<number | null>(null)
  const [liveCount, setLive] = useState<number | null>(null)
  if (wood === null) {
    return <SampleStep phone={phone} onWood={setWood} onBack={() => close()} />
  }
  const about = bundleWords(wood.lot, wood.bundleId, phone, t)
  if (method === null) {
    return <HowChecked about={about} onMethod={setMethod} onBack={() => close()} />
  }
  const isScratch = method === 'cambium scratch'
  if (method === 'forcing test' && forcedDays === null) {
    return <DaysForced about={about} onDays={setDays} onBack={() => setMethod(null)} />
  }
  if (sampledCount === null) {
    return (
      <NumberStep
        key="sampled"
        title={t.say(isScratch ? 'viability.sampledSticks' : 'viability.sampledBuds')}
        about={about}
        min={1}
        max={SAMPLE_LIMIT}
        onNumber={setSampled}
        onBack={() => {
          setDays(null)
          setMethod(null)
        }}
      />
    )
  }
  const share = (live: number) => t.say('viability.share', { live, of: sampledCount })
  if (liveCount === null) {
    return (
      <NumberStep
        key="live"
        title={t.say('viability.live')}
        about={about}
        max={SAMPLE_LIMIT}
        problem={(live) =>
          viabilityProblem(sampledCount, live) === null ? null : t.say('viability.moreLive')
        }
        said={share}
        onNumber={setLive}
        onBack={() => setSampled(null)}
      />
    )
  }
  const save = async (usedSticks: number) => {
    const { lot, lotId, bundleId } = wood
    const used = usedSticks === 0 ? null : { unit: 'stick' as const, count: usedSticks }
    const from = likelyAccount(lot, bundleId, phone.settings.personId)
    const draft = viabilityDraft(
      { lotId, bundleId, from, used, note: '' },
      { method, sampledCount, liveCount, forcedDays },
    )
    const written = await writing.write(draft)
    if (written !== null) close(t.say('viability.done', { share: share(liveCount) }))
  }
  return (
    <>
      <WritePanel writing={writing} />
      <UsedUp about={`${about} · ${share(liveCount)}`} onUsed={save} onBack={() => setLive(null)} />
    </>
  )
}

interface DaysForcedProps {
  readonly about: string
  readonly onDays: (days: number) => void
  readonly onBack: () => void
}

function DaysForced({ about, onDays, onBack }: DaysForcedProps) {
  const t = useSpeaker()
  return (
    <NumberStep
      title={t.say('viability.days')}
      about={about}
      max={FORCED_DAYS_LIMIT}
      onNumber={onDays}
      onBack={onBack}
    />
  )
}

interface UsedUpProps {
  readonly about: string
  readonly onUsed: (sticks: number) => unknown
  readonly onBack: () => void
}

/** Sticks that were cut up for the sample leave the books. */
function UsedUp({ about, onUsed, onBack }: UsedUpProps) {
  const t = useSpeaker()
  return (
    <NumberStep
      title={t.say('viability.usedSticks')}
      about={about}
      min={1}
      max={SAMPLE_LIMIT}
      onNumber={onUsed}
      onBack={onBack}
    >
      <BigButton onPress={() => onUsed(0)}>{t.say('sample.none')}</BigButton>
    </NumberStep>
  )
}

interface HowCheckedProps {
  readonly about: string
  readonly onMethod: (method: Viability['method']) => void
  readonly onBack: () => void
}

function HowChecked({ about, onMethod, onBack }: HowCheckedProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={t.say('viability.title')} about={about} />
      <p class="caution-line">{t.say('viability.caution')}</p>
      <Actions>
        <ChoiceList
          label={t.say('viability.how')}
          choices={[
            {
              id: 'cut bud',
              words: t.say('viability.cutBud'),
              detail: t.say('viability.cutBud.how'),
            },
            {
              id: 'forcing test',
              words: t.say('viability.forcing'),
              detail: t.say('viability.forcing.how'),
            },
            {
              id: 'cambium scratch',
              words: t.say('viability.scratch'),
              detail: t.say('viability.scratch.how'),
            },
          ]}
          chosen={null}
          onChoose={onMethod}
        />
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

export const viabilityJob: Job = {
  id: 'viability',
  title: 'viability.title',
  order: 65,
  withoutScan: true,
  offeredFor: (found, phone) => isWoodTag(found) && scannedWood(found, phone) !== null,
  Screen: ViabilityScreen,
}
