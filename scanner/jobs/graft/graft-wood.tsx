/** @jsxImportSource preact */
// Scans the wood to graft with, at the beginning or in the middle of a row; mixed-up lots are said.
import { useState } from 'preact/hooks'
import type { Found, Phone } from '../../phone.ts'
import { useNow } from '../../screens/moments.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { VerdictPanel } from '../../screens/verdict.tsx'
import type { ScannedWood } from '../scanned-wood.ts'
import { isWoodTag, scannedWood } from '../scanned-wood.ts'
import { inHand } from './judge-vine.ts'
import { WhichWood } from './which-wood.tsx'
import type { WoodInHand } from './which-wood.tsx'

interface GraftWoodProps {
  readonly phone: Phone
  /** A tag scanned already, before this screen. */
  readonly scanned: ScannedWood | null
  /** The lot that the row got so far, and the row; null at the beginning. */
  readonly soFar: { readonly lotId: string; readonly rowId: string } | null
  readonly onWood: (wood: WoodInHand) => unknown
  readonly onBack: () => void
}

export function GraftWood({ phone, scanned, soFar, onWood, onBack }: GraftWoodProps) {
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const [tag, setTag] = useState<ScannedWood | null>(scanned)
  const [settled, setSettled] = useState<WoodInHand | null>(null)
  const again = () => {
    setTag(null)
    setSettled(null)
  }
  if (settled !== null && soFar !== null) {
    const lotWords = (lotId: string) => {
      const lot = phone.snapshot.lot(lotId)
      return lot === null ? lotId.slice(0, 8) : `${lot.reference} ${lot.varietyName}`
    }
    const words = { old: lotWords(soFar.lotId), new: lotWords(settled.lotId) }
    return (
      <>
        <StepHeader title={t.say('graft.anotherLot')} />
        <Trouble
          what={t.say('graft.anotherLot.what', words)}
          todo={t.say('graft.anotherLot.todo')}
        />
        <VerdictPanel judgement={phone.snapshot.judgeWood(inHand(settled), soFar.rowId, nowMs)} />
        <Actions>
          <BigButton look="stop" onPress={() => onWood(settled)}>
            {t.say('graft.anotherLot.yes', words)}
          </BigButton>
          <BigButton look="main" onPress={again}>
            {t.say('graft.anotherLot.no')}
          </BigButton>
        </Actions>
      </>
    )
  }
  if (tag !== null) {
    const settle = (wood: WoodInHand) => {
      if (soFar === null || soFar.lotId === wood.lotId) return onWood(wood)
      return setSettled(wood)
    }
    return <WhichWood phone={phone} scanned={tag} onWood={settle} onBack={again} />
  }
  const fits = (found: Found) => {
    if (!isWoodTag(found)) return t.say('graft.notWood')
    return scannedWood(found, phone) !== null || t.say('graft.lotUnknown')
  }
  return (
    <>
      <StepHeader title={t.say(soFar === null ? 'graft.title' : 'graft.changeBundle')} />
      <ScanNext
        phone={phone}
        ask={t.say(soFar === null ? 'graft.scanWood' : 'graft.scanNext')}
        fits={fits}
        onFound={(found) => setTag(scannedWood(found, phone))}
      />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say(soFar === null ? 'part.back' : 'row.back')}
        </BigButton>
      </Actions>
    </>
  )
}
