/** @jsxImportSource preact */
// Counts of a cut: sticks in all, usable buds on a few of them.
import { useState } from 'preact/hooks'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { budsPerStick } from './cut-drafts.ts'
import { SAMPLE_LIMIT } from './cut-record.ts'
import type { CutRecord } from './cut-record.ts'

/** Most sticks in one cut; most buds on one stick. */
const STICK_LIMIT = 100_000
const BUD_LIMIT = 30

interface HowManySticksProps {
  readonly about: string
  readonly onSticks: (sticks: number) => unknown
  readonly onBack: () => unknown
}

export function HowManySticks({ about, onSticks, onBack }: HowManySticksProps) {
  const t = useSpeaker()
  const [sticks, setSticks] = useState<number | null>(null)
  const fits = sticks !== null && sticks >= 1 && sticks <= STICK_LIMIT
  return (
    <>
      <StepHeader title={t.say('cut.sticks')} about={about} />
      <NumberPad
        label={t.say('cut.count')}
        value={sticks}
        min={1}
        max={STICK_LIMIT}
        onChange={setSticks}
      />
      <Actions>
        <BigButton
          look="main"
          disabled={!fits}
          onPress={() => (fits ? onSticks(sticks) : undefined)}
        >
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface SampleStepProps {
  readonly cut: CutRecord
  readonly onSample: (sample: number[]) => unknown
  readonly onNext: () => unknown
  readonly onBack: () => unknown
}

/** One tap a stick: its usable buds. The mean, rounded down, is shown as it comes about. */
export function SampleStep({ cut, onSample, onNext, onBack }: SampleStepProps) {
  const t = useSpeaker()
  const { sample } = cut
  const counts = sample.length === 0 ? '–' : sample.map((buds) => t.number(buds)).join(', ')
  const numbers = Array.from({ length: 12 }, (_, nr) => nr + 1)
  const add = (buds: number) =>
    sample.length < SAMPLE_LIMIT ? onSample([...sample, buds]) : undefined
  return (
    <>
      <StepHeader title={t.say('cut.sample')} about={t.say('cut.sampleSoFar', { counts })} />
      <p class="mean" role="status">
        {sample.length === 0 ? '' : t.say('cut.mean', { count: budsPerStick(sample) })}
      </p>
      <div class="row-labels" role="group" aria-label={t.say('cut.nextStick')}>
        {numbers.map((buds) => (
          <BigButton key={buds} onPress={() => add(buds)}>
            {buds}
          </BigButton>
        ))}
      </div>
      <MoreBuds onBuds={add} />
      <BigButton
        look="quiet"
        disabled={sample.length === 0}
        onPress={() => onSample(sample.slice(0, -1))}
      >
        {t.say('cut.eraseStick')}
      </BigButton>
      <Actions>
        <BigButton look="main" disabled={sample.length === 0} onPress={onNext}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** Long canes carry more than the buttons show, rootstock none at all. */
function MoreBuds({ onBuds }: { onBuds: (buds: number) => unknown }) {
  const t = useSpeaker()
  const more = [0, ...Array.from({ length: BUD_LIMIT - 12 }, (_, nr) => nr + 13)]
  return (
    <details>
      <summary>{t.say('part.other')}</summary>
      <div class="row-labels">
        {more.map((buds) => (
          <BigButton key={buds} onPress={() => onBuds(buds)}>
            {buds}
          </BigButton>
        ))}
      </div>
    </details>
  )
}
