/** @jsxImportSource preact */
// Cutting wood: source, count, sample, bundles with their tags, where it is now; saved as one.
import { useState } from 'preact/hooks'
import type { Found, Phone, PhoneSource } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, ChoiceList, StepHeader, Trouble } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { recall, useRemembered, WORKING_DAY_MS } from '../remember.ts'
import { AccountStep } from '../wood/who-where.tsx'
import { CUT_KEY, CutRecord, newCut } from './cut-record.ts'
import { CutSummary } from './cut-summary.tsx'
import { CutTags } from './cut-tags.tsx'
import { HowManySticks, SampleStep } from './cut-counts.tsx'
import { likelyHarvestYear, nextReference } from './reference.ts'

/** Entries looked through for references of this phone's own. */
const LOOK_BACK = 600

function CutScreen(props: JobProps) {
  const [cut, keep] = useRemembered(CUT_KEY, CutRecord)
  const [isTakenUp, setTakenUp] = useState(false)
  const { phone, found, close } = props
  const t = useSpeaker()
  if (cut === undefined) return null
  const scanned = sourceOf(found, phone)
  const isOther = scanned !== null && cut !== null && scanned.id !== cut.sourceId
  if (cut !== null && (isTakenUp || !isOther)) {
    return <CutSteps {...{ phone, close, cut, keep }} />
  }
  if (cut !== null) {
    return (
      <>
        <StepHeader title={t.say('cut.leftOpen')} about={cut.reference} />
        <Actions>
          <BigButton look="stop" onPress={() => keep(null)}>
            {t.say('cut.forget')}
          </BigButton>
          <BigButton look="main" onPress={() => setTakenUp(true)}>
            {t.say('cut.goOn')}
          </BigButton>
        </Actions>
      </>
    )
  }
  const begin = async (source: PhoneSource) => {
    const now = phone.now()
    const reference = await freshReference(phone, now)
    const harvestYear = likelyHarvestYear(now)
    await keep(newCut({ lotId: phone.newId(), sourceId: source.id, reference, harvestYear }))
  }
  return <FromWhich {...{ phone, scanned }} onSource={begin} onBack={() => close()} />
}

interface CutStepsProps {
  readonly phone: Phone
  readonly close: JobProps['close']
  readonly cut: CutRecord
  readonly keep: (cut: CutRecord | null) => Promise<void>
}

/** The first thing not said yet is asked; every answer is kept at once. */
function CutSteps({ phone, close, cut, keep }: CutStepsProps) {
  const t = useSpeaker()
  const say = (change: Partial<CutRecord>) => keep({ ...cut, ...change })
  const source = phone.snapshot.source(cut.sourceId)
  const about = source === null ? cut.reference : `${source.name} · ${source.varietyName}`
  if (cut.material === null) {
    return (
      <>
        <StepHeader title={t.say('cut.material')} about={about} />
        <Actions>
          <BigButton onPress={() => say({ material: 'rootstock wood' })}>
            {t.say('cut.rootstock')}
          </BigButton>
          <BigButton look="main" onPress={() => say({ material: 'scion wood' })}>
            {t.say('cut.scion')}
          </BigButton>
          <BigButton look="quiet" onPress={() => keep(null)}>
            {t.say('part.back')}
          </BigButton>
        </Actions>
      </>
    )
  }
  if (cut.sticks === null) {
    return (
      <HowManySticks
        about={about}
        onSticks={(sticks) => say({ sticks })}
        onBack={() => say({ material: null })}
      />
    )
  }
  if (!cut.isSampled) {
    return (
      <SampleStep
        cut={cut}
        onSample={(sample) => say({ sample })}
        onNext={() => say({ isSampled: true })}
        onBack={() => say({ sticks: null })}
      />
    )
  }
  if (!cut.isTagged) {
    return (
      <CutTags
        {...{ phone, cut }}
        sticks={cut.sticks}
        onChange={say}
        onBack={() => say({ isSampled: false })}
      />
    )
  }
  if (cut.to === null) {
    return (
      <AccountStep
        phone={phone}
        title={t.say('cut.where')}
        onAccount={(to) => say({ to })}
        onBack={() => say({ isTagged: false })}
      />
    )
  }
  return <CutSummary {...{ phone, cut, close, keep }} />
}

interface FromWhichProps {
  readonly phone: Phone
  readonly scanned: PhoneSource | null
  readonly onSource: (source: PhoneSource) => Promise<void>
  readonly onBack: () => void
}

/** A source in doubtful standing is said before anything is cut from it. */
function FromWhich({ phone, scanned, onSource, onBack }: FromWhichProps) {
  const t = useSpeaker()
  const [chosen, setChosen] = useState<PhoneSource | null>(scanned)
  const sources = phone.snapshot.sources()
  if (chosen !== null) {
    const isGood = chosen.standing === 'good'
    return (
      <>
        <StepHeader title={chosen.name} about={sourceWords(chosen)} />
        {isGood ? null : <Trouble what={t.say('cut.standing', { standing: chosen.standing })} />}
        <Actions>
          <BigButton look="quiet" onPress={() => (scanned === null ? setChosen(null) : onBack())}>
            {t.say('part.back')}
          </BigButton>
          <BigButton look={isGood ? 'main' : 'stop'} onPress={() => onSource(chosen)}>
            {t.say(isGood ? 'cut.title' : 'cut.cutAnyway')}
          </BigButton>
        </Actions>
      </>
    )
  }
  const fits = (found: Found) => sourceOf(found, phone) !== null || t.say('cut.notASource')
  return (
    <>
      <StepHeader title={t.say('cut.from')} />
      {sources.length === 0 ? <Trouble what={t.say('cut.noSources')} /> : null}
      <ScanNext
        phone={phone}
        ask={t.say('cut.scanSource')}
        fits={fits}
        onFound={(found) => setChosen(sourceOf(found, phone))}
      />
      <ChoiceList
        label={t.say('cut.chooseSource')}
        choices={sources.map((source) => ({
          id: source.id,
          words: source.name,
          detail: sourceWords(source),
        }))}
        chosen={null}
        onChoose={(id) => setChosen(phone.snapshot.source(id))}
      />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

function sourceWords({ varietyName, clone, className }: PhoneSource): string {
  return [varietyName, clone, className].filter((word) => word !== null).join(' · ')
}

/** The source that a read leads to, or null. */
function sourceOf(found: Found | null, phone: Phone): PhoneSource | null {
  if (found === null || found.what !== 'thing' || found.thing.kind !== 'source') return null
  return phone.snapshot.source(found.thing.id)
}

async function freshReference(phone: Phone, now: Date): Promise<string> {
  const recent = await phone.recent(LOOK_BACK)
  const own = recent.flatMap(({ body }) => ('reference' in body ? [body.reference] : []))
  const known = [...own, ...phone.snapshot.lots().map((lot) => lot.reference)]
  return nextReference(now.getFullYear(), phone.identity?.deviceId ?? phone.newId(), known)
}

export const cutJob: Job = {
  id: 'cut',
  title: 'cut.title',
  order: 15,
  withoutScan: true,
  offeredFor: (found, phone) => sourceOf(found, phone) !== null,
  leftOpen: async () => (await recall(CUT_KEY, CutRecord, WORKING_DAY_MS)) !== null,
  Screen: CutScreen,
}
