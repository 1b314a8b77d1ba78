/** @jsxImportSource preact */
// Settles which wood of a scanned lot is grafted with, and who had it.
import { useEffect } from 'preact/hooks'
import type { AccountShape } from '#wire/basics.ts'
import type { Phone, PhoneLot } from '../../phone.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { heldStock, likelyAccount, unknownAccount } from '../held.ts'
import { accountWords, bundleWords, piecesWords } from '../scanned-wood.ts'
import type { ScannedWood } from '../scanned-wood.ts'

/** Wood in hand: of which lot and bundle, and who or what had it. */
export interface WoodInHand extends ScannedWood {
  readonly from: AccountShape
}

/** The wood where there is nothing to choose; null where the person must say. */
export function settledWood(scanned: ScannedWood, phone: Phone): WoodInHand | null {
  const lot = phone.snapshot.lot(scanned.lotId)
  const { personId } = phone.settings
  if (lot === null) {
    const from: AccountShape = personId === null ? unknownAccount : { kind: 'holder', id: personId }
    return { ...scanned, from }
  }
  if (scanned.bundleId !== null) {
    return { ...scanned, from: likelyAccount(lot, scanned.bundleId, personId) }
  }
  const stock = heldStock(lot, null, personId)
  const [only] = stock
  if (only === undefined) return { ...scanned, from: likelyAccount(lot, null, personId) }
  if (stock.length > 1) return null
  return { lotId: lot.lotId, bundleId: only.bundleId, from: only.account }
}

interface WhichWoodProps {
  readonly phone: Phone
  readonly scanned: ScannedWood
  readonly onWood: (wood: WoodInHand) => unknown
  readonly onBack: () => void
}

/** Asks only when a lot's own tag was scanned and its wood is in several bundles or hands. */
export function WhichWood({ phone, scanned, onWood, onBack }: WhichWoodProps) {
  const t = useSpeaker()
  const lot = phone.snapshot.lot(scanned.lotId)
  const settled = settledWood(scanned, phone)
  useEffect(() => {
    if (settled !== null) onWood(settled)
  }, [settled === null])
  if (settled !== null || lot === null) return null
  return (
    <WoodChoice
      {...{ phone, lot, onWood, onBack }}
      title={t.say('graft.whichBundle', { lot: lot.reference })}
    />
  )
}

interface WoodChoiceProps extends Pick<WhichWoodProps, 'phone' | 'onWood' | 'onBack'> {
  readonly lot: PhoneLot
  readonly title: string
}

function WoodChoice({ phone, lot, title, onWood, onBack }: WoodChoiceProps) {
  const t = useSpeaker()
  const stock = heldStock(lot, null, phone.settings.personId)
  return (
    <>
      <StepHeader title={title} />
      {stock.length === 0 ? <Trouble what={t.say('graft.none')} /> : null}
      <Actions>
        {stock.map((one) => (
          <BigButton
            key={`${one.bundleId ?? ''} ${one.account.kind} ${one.account.id}`}
            detail={t.say('graft.where', {
              pieces: piecesWords(one, t),
              where: accountWords(one.account, phone, t),
            })}
            onPress={() => onWood({ lotId: lot.lotId, bundleId: one.bundleId, from: one.account })}
          >
            {bundleWords(lot, one.bundleId, phone, t)}
          </BigButton>
        ))}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}
