/** @jsxImportSource preact */
// Gathers wood by scanning tags in turn; each line can be counted again or left out.
import { useState } from 'preact/hooks'
import type { Found, Phone, PhoneLot } from '../../phone.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import type { Speaker } from '../../words/speaker.ts'
import { accountWords, bundleWords, isWoodTag, piecesWords, scannedWood } from '../scanned-wood.ts'
import type { ScannedWood } from '../scanned-wood.ts'
import { isMore, keyOf, linesOf, recounted, unknownLine } from './basket.ts'
import type { Line, TakesFrom } from './basket.ts'
import { Recount } from './recount.tsx'

interface BasketStepProps {
  readonly phone: Phone
  readonly title: string
  readonly takesFrom: TakesFrom
  /** Wood that must be known to be there, as in a bath, is not counted by hand. */
  readonly onlyKnown?: boolean
  readonly lines: readonly Line[]
  readonly onLines: (lines: readonly Line[]) => void
  readonly onNext: () => void
  readonly onBack: () => void
  /** Scanned already when the job was opened, and of which the phone knows nothing. */
  readonly toCount: ScannedWood | null
}

export function BasketStep(props: BasketStepProps) {
  const { phone, lines, onLines } = props
  const t = useSpeaker()
  const [isScanning, setScanning] = useState(lines.length === 0 && props.toCount === null)
  const [counting, setCounting] = useState<ScannedWood | null>(props.toCount)
  const [changing, setChanging] = useState<Line | null>(null)
  const { personId } = phone.settings
  const add = (fresh: readonly Line[]) => {
    const keys = new Set(lines.map(keyOf))
    onLines([...lines, ...fresh.filter((line) => !keys.has(keyOf(line)))])
    setScanning(false)
  }
  const countingLot = counting === null ? null : phone.snapshot.lot(counting.lotId)
  if (counting !== null && countingLot !== null) {
    const nothing = { sticks: 0, buds: 0 }
    return (
      <Recount
        title={bundleWords(countingLot, counting.bundleId, phone, t)}
        known={nothing}
        now={nothing}
        onCounted={(counted) => {
          add([unknownLine(countingLot, counting, personId, counted)])
          setCounting(null)
        }}
        onBack={() => {
          setCounting(null)
          setScanning(true)
        }}
      />
    )
  }
  if (changing !== null) {
    const others = (line: Line) => keyOf(line) !== keyOf(changing)
    return (
      <Recount
        title={lineName(changing, phone, t)}
        known={changing.known}
        now={changing.portion}
        onCounted={(counted) => {
          onLines(lines.map((line) => (others(line) ? line : recounted(line, counted))))
          setChanging(null)
        }}
        onLeaveOut={() => {
          onLines(lines.filter(others))
          setChanging(null)
          if (lines.length === 1) setScanning(true)
        }}
        onBack={() => setChanging(null)}
      />
    )
  }
  if (isScanning) {
    const back = lines.length === 0 ? props.onBack : () => setScanning(false)
    const count = (wood: ScannedWood) => {
      setScanning(false)
      setCounting(wood)
    }
    return <ScanInto {...props} onAdd={add} onCount={count} onBack={back} />
  }
  return <BasketList {...props} onChange={setChanging} onScan={() => setScanning(true)} />
}

interface ScanIntoProps extends BasketStepProps {
  readonly onAdd: (lines: readonly Line[]) => void
  readonly onCount: (wood: ScannedWood) => void
}

/** Takes tags on wood that is where this job takes it from. */
function ScanInto({ phone, title, lines, onAdd, onCount, onBack, ...props }: ScanIntoProps) {
  const t = useSpeaker()
  const { personId } = phone.settings
  const linesIn = (found: Found): readonly Line[] => {
    const wood = scannedWood(found, phone)
    const lot = wood === null ? null : phone.snapshot.lot(wood.lotId)
    return wood === null || lot === null ? [] : linesOf(lot, wood, personId, props.takesFrom)
  }
  const fits = (found: Found): true | string => {
    if (!isWoodTag(found)) return t.say('basket.notWood')
    const wood = scannedWood(found, phone)
    if (wood === null || phone.snapshot.lot(wood.lotId) === null) return t.say('basket.unknown')
    const there = linesIn(found)
    if (there.length === 0) return props.onlyKnown === true ? t.say('basket.noneThere') : true
    const keys = new Set(lines.map(keyOf))
    return there.some((line) => !keys.has(keyOf(line))) || t.say('basket.already')
  }
  const take = (found: Found) => {
    const there = linesIn(found)
    const wood = scannedWood(found, phone)
    if (there.length > 0) onAdd(there)
    else if (wood !== null) onCount(wood)
  }
  return (
    <>
      <StepHeader title={title} about={t.say('basket.lines', { count: lines.length })} />
      <ScanNext
        phone={phone}
        ask={t.say(lines.length === 0 ? 'basket.scan' : 'give.scan')}
        fits={fits}
        onFound={take}
      />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface BasketListProps extends BasketStepProps {
  readonly onChange: (line: Line) => void
  readonly onScan: () => void
}

function BasketList({ phone, title, lines, onChange, onScan, onNext, onBack }: BasketListProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={title} about={t.say('basket.title')} />
      <div class="choices">
        {lines.map((line) => (
          <BigButton
            key={keyOf(line)}
            detail={`${piecesWords(line.portion, t)} · ${whereWords(line, phone, t)}`}
            onPress={() => onChange(line)}
          >
            {lineName(line, phone, t)}
          </BigButton>
        ))}
      </div>
      {lines.some((line) => isMore(line.known, line.portion)) ? (
        <Trouble what={t.say('basket.isMore')} />
      ) : null}
      <Actions>
        <BigButton onPress={onScan}>{t.say('basket.scanMore')}</BigButton>
        <BigButton look="main" disabled={lines.length === 0} onPress={onNext}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** Like `27-014 · bundle 2 · tag 0123-…`. */
export function lineName({ portion }: Line, phone: Phone, t: Speaker): string {
  const lot: PhoneLot | null = phone.snapshot.lot(portion.lotId)
  return lot === null ? t.say('kind.lot') : bundleWords(lot, portion.bundleId, phone, t)
}

function whereWords({ portion }: Line, phone: Phone, t: Speaker): string {
  return accountWords(portion.from, phone, t)
}
