/** @jsxImportSource preact */
// Settles which wood a sample is taken of, before a check.
import { useState } from 'preact/hooks'
import type { Found, Phone, PhoneLot } from '../../phone.ts'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { isWoodTag, scannedWood } from '../scanned-wood.ts'
import type { ScannedWood } from '../scanned-wood.ts'

/** The wood and its lot as the phone knows it. */
export interface SampledWood extends ScannedWood {
  readonly lot: PhoneLot
}

/** What was scanned, if it is wood that the phone knows; null asks for a scan. */
export function useSampledWood(found: Found | null, phone: Phone) {
  const [scanned, setScanned] = useState(() => scannedWood(found, phone))
  const lot = scanned === null ? null : phone.snapshot.lot(scanned.lotId)
  const wood: SampledWood | null = scanned === null || lot === null ? null : { ...scanned, lot }
  return [wood, setScanned] as const
}

interface SampleStepProps {
  readonly phone: Phone
  readonly onWood: (wood: ScannedWood | null) => void
  readonly onBack: () => void
}

export function SampleStep({ phone, onWood, onBack }: SampleStepProps) {
  const t = useSpeaker()
  const fits = (found: Found) => {
    if (!isWoodTag(found)) return t.say('basket.notWood')
    const wood = scannedWood(found, phone)
    const isKnown = wood !== null && phone.snapshot.lot(wood.lotId) !== null
    return isKnown || t.say('basket.unknown')
  }
  return (
    <>
      <StepHeader title={t.say('sample.which')} />
      <ScanNext
        phone={phone}
        ask={t.say('sample.scan')}
        fits={fits}
        onFound={(found) => onWood(scannedWood(found, phone))}
      />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
