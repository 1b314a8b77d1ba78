/** @jsxImportSource preact */
// Moisture of a sample, by the way it was measured, in tenths so that no decimal key is needed.
import { useState } from 'preact/hooks'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, ChoiceList, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import type { PlainKey } from '../../words/say.ts'
import { likelyAccount } from '../held.ts'
import { NumberStep } from '../number-step.tsx'
import { bundleWords, isWoodTag, scannedWood } from '../scanned-wood.ts'
import { moistureDraft, moistureProblem } from './check-drafts.ts'
import type { Moisture } from './check-drafts.ts'
import { SampleStep, useSampledWood } from './sample-step.tsx'

type Measured = Moisture['measured']
type By = Measured['by']

/** Largest numbers of the pad, in tenths of a gram or of a per cent. */
const GRAM_TENTHS_LIMIT = 1_000_000
const PERCENT_TENTHS_LIMIT = 4000

/** What the last number is, by the way of measuring. */
const LAST_WORDS: Readonly<Record<By, PlainKey>> = {
  oven: 'moisture.dry',
  meter: 'moisture.percent',
  'weighing again': 'moisture.now',
}

const PROBLEMS: Readonly<Record<'dry heavier' | 'now heavier' | 'over hundred', PlainKey>> = {
  'dry heavier': 'moisture.dryHeavier',
  'now heavier': 'moisture.nowHeavier',
  'over hundred': 'moisture.overHundred',
}

function MoistureScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [wood, setWood] = useSampledWood(found, phone)
  const [by, setBy] = useState<By | null>(null)
  const [basis, setBasis] = useState<'fresh weight' | 'dry weight' | null>(null)
  const [first, setFirst] = useState<number | null>(null)
  if (wood === null) {
    return <SampleStep phone={phone} onWood={setWood} onBack={() => close()} />
  }
  const about = bundleWords(wood.lot, wood.bundleId, phone, t)
  if (by === null) return <HowMeasured about={about} onBy={setBy} onBack={() => close()} />
  if (by === 'meter' && basis === null) {
    return <WhichBasis about={about} onBasis={setBasis} onBack={() => setBy(null)} />
  }
  const save = async (measured: Measured) => {
    const { lot, lotId, bundleId } = wood
    const from = likelyAccount(lot, bundleId, phone.settings.personId)
    const sample = { lotId, bundleId, from, used: null, note: '' }
    const written = await writing.write(moistureDraft(sample, measured))
    if (written !== null) close(t.say('moisture.done'))
  }
  const isMeter = by === 'meter'
  const unit = isMeter ? '%' : 'g'
  const shown = (tenths: number) => `${t.number(tenths / 10, 1)} ${unit}`
  const pad = {
    about,
    min: 1,
    max: isMeter ? PERCENT_TENTHS_LIMIT : GRAM_TENTHS_LIMIT,
    said: (tenths: number) => shown(tenths),
  }
  const measuredOf = (tenths: number): Measured => {
    const value = tenths / 10
    if (by === 'meter') return { by, percent: value, basis: basis ?? 'fresh weight' }
    const before = (first ?? tenths) / 10
    return by === 'oven'
      ? { by, freshGrams: before, dryGrams: value }
      : { by, atCutGrams: before, nowGrams: value }
  }
  if (!isMeter && first === null) {
    return (
      <NumberStep
        key="first"
        {...pad}
        title={`${t.say(by === 'oven' ? 'moisture.fresh' : 'moisture.atCut')}, ${tenthsWords(t)}`}
        onNumber={setFirst}
        onBack={() => setBy(null)}
      />
    )
  }
  return (
    <>
      <WritePanel writing={writing} />
      <NumberStep
        key="last"
        {...pad}
        title={`${t.say(LAST_WORDS[by])}, ${tenthsWords(t)}`}
        problem={(tenths) => {
          const problem = moistureProblem(measuredOf(tenths))
          return problem === null ? null : t.say(PROBLEMS[problem])
        }}
        onNumber={(tenths) => save(measuredOf(tenths))}
        onBack={() => (isMeter ? setBasis(null) : setFirst(null))}
      />
    </>
  )
}

function tenthsWords(t: ReturnType<typeof useSpeaker>): string {
  return t.say('moisture.tenths', { example: t.number(12.5, 1) })
}

interface HowMeasuredProps {
  readonly about: string
  readonly onBy: (by: By) => void
  readonly onBack: () => void
}

function HowMeasured({ about, onBy, onBack }: HowMeasuredProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={t.say('moisture.title')} about={about} />
      <Actions>
        <ChoiceList
          label={t.say('moisture.how')}
          choices={[
            { id: 'oven', words: t.say('moisture.oven'), detail: t.say('moisture.oven.how') },
            { id: 'meter', words: t.say('moisture.meter') },
            {
              id: 'weighing again',
              words: t.say('moisture.again'),
              detail: t.say('moisture.again.how'),
            },
          ]}
          chosen={null}
          onChoose={onBy}
        />
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface WhichBasisProps {
  readonly about: string
  readonly onBasis: (basis: 'fresh weight' | 'dry weight') => void
  readonly onBack: () => void
}

function WhichBasis({ about, onBasis, onBack }: WhichBasisProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={t.say('moisture.basis')} about={about} />
      <Actions>
        <BigButton onPress={() => onBasis('dry weight')}>{t.say('moisture.ofDry')}</BigButton>
        <BigButton onPress={() => onBasis('fresh weight')}>{t.say('moisture.ofFresh')}</BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

export const moistureJob: Job = {
  id: 'moisture',
  title: 'moisture.title',
  order: 66,
  withoutScan: true,
  offeredFor: (found, phone) => isWoodTag(found) && scannedWood(found, phone) !== null,
  Screen: MoistureScreen,
}
