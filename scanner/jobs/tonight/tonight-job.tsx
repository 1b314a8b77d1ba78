/** @jsxImportSource preact */
// Tonight's list: a bundle is ticked off by putting it into the bath, which is the entry itself.
import { useState } from 'preact/hooks'
import type { Found, Phone } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, StepHeader, Toast } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { isWoodTag, scannedWood } from '../scanned-wood.ts'
import { BathInScreen } from '../wood/store-jobs.tsx'
import { ChooseRows } from './choose-rows.tsx'
import { pullOf, pullsOf, woodOfPull } from './pulls.ts'
import type { Pull } from './pulls.ts'
import { TonightList } from './tonight-list.tsx'

type Step = 'list' | 'rows' | 'scan'

function TonightScreen({ phone, close }: JobProps) {
  const kept = phone.tonight
  const [step, setStep] = useState<Step>(kept === null ? 'rows' : 'list')
  const [pulling, setPulling] = useState<Pull | null>(null)
  const [said, setSaid] = useState<string | null>(null)
  if (kept === null || step === 'rows') {
    return (
      <ChooseRows
        phone={phone}
        before={kept?.rowIds ?? []}
        onFetched={() => setStep('list')}
        onBack={() => (kept === null ? close() : setStep('list'))}
      />
    )
  }
  const pulls = pullsOf(kept, (lotId) => phone.snapshot.lot(lotId))
  const pull = (next: Pull) => {
    setSaid(null)
    setPulling(next)
    setStep('list')
  }
  const lot = pulling === null ? null : phone.snapshot.lot(pulling.line.lotId)
  if (pulling !== null && lot !== null) {
    return (
      <BathInScreen
        key={pulling.nr}
        phone={phone}
        found={tankOf(pulling, phone)}
        initial={[woodOfPull(pulling.line, lot)]}
        close={(sayDone) => {
          setSaid(sayDone ?? null)
          setPulling(null)
        }}
      />
    )
  }
  if (step === 'scan') {
    return <ScanPull phone={phone} pulls={pulls} onPull={pull} onBack={() => setStep('list')} />
  }
  return (
    <>
      <Toast words={said} />
      <TonightList
        {...{ phone, kept, pulls }}
        onPull={pull}
        onScan={() => setStep('scan')}
        onAgain={() => setStep('rows')}
        onBack={() => close()}
      />
    </>
  )
}

interface ScanPullProps {
  readonly phone: Phone
  readonly pulls: readonly Pull[]
  readonly onPull: (pull: Pull) => void
  readonly onBack: () => void
}

/** Takes a tag on wood that is on the list and still to be pulled; says of any other why not. */
function ScanPull({ phone, pulls, onPull, onBack }: ScanPullProps) {
  const t = useSpeaker()
  const pullFor = (found: Found): Pull | null => {
    const wood = scannedWood(found, phone)
    return wood === null ? null : pullOf(pulls, wood)
  }
  const fits = (found: Found): true | string => {
    if (!isWoodTag(found)) return t.say('basket.notWood')
    const pull = pullFor(found)
    if (pull === null) return t.say('tonight.notOnList')
    return pull.state === 'to pull' || t.say('tonight.isIn')
  }
  const take = (found: Found) => {
    const pull = pullFor(found)
    if (pull !== null) onPull(pull)
  }
  return (
    <>
      <StepHeader title={t.say('tonight.title')} />
      <ScanNext phone={phone} ask={t.say('tonight.scanAsk')} fits={fits} onFound={take} />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** The list's tank as if its tag had been read, when a bath stands in it; else it is asked. */
function tankOf({ line: { tankId } }: Pull, phone: Phone): Found | null {
  if (tankId === null) return null
  const bath = phone.snapshot.baths().find(({ placeId }) => placeId === tankId)
  return bath === undefined
    ? null
    : { what: 'thing', code: '', thing: { kind: 'bath', id: bath.id } }
}

export const tonightJob: Job = {
  id: 'tonight',
  title: 'tonight.title',
  order: 29,
  withoutScan: true,
  offeredFor: () => false,
  Screen: TonightScreen,
}
