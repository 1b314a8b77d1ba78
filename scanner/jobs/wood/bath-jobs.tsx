/** @jsxImportSource preact */
// Tanks filled and emptied.
import { useState } from 'preact/hooks'
import type { Phone, PhonePlace } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { WATER_ADDITIONS, WATERS } from '../said.ts'
import { SayWhy } from '../say-why.tsx'
import { piecesWords } from '../scanned-wood.ts'
import { bathOf, woodInBath } from './bath-of.ts'
import { lineName } from './basket-step.tsx'
import { WhichBath } from './store-jobs.tsx'
import { placeOf } from './who-where.tsx'
import { emptyDraft, fillDraft } from './wood-drafts.ts'

/** Warmest water that an entry takes, in degrees Celsius; most litres. */
const WATER_LIMIT_C = 70
const LITRE_LIMIT = 100_000
const NOTHING_IN_WATER = ''

function FillScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [tank, setTank] = useState<PhonePlace | null>(() => tankOf(placeOf(found, phone)))
  const [water, setWater] = useState<string | null>(null)
  const [disinfectant, setDisinfectant] = useState<string | null>(null)
  const [temp, setTemp] = useState<number | null | undefined>(undefined)
  if (tank === null) return <WhichTank phone={phone} onTank={setTank} onBack={() => close()} />
  if (phone.snapshot.baths().some((bath) => bath.placeId === tank.id)) {
    return <TankFull name={tank.name} onBack={() => close()} />
  }
  if (water === null) {
    return (
      <SayWhy
        title={t.say('fill.water')}
        about={tank.name}
        caution={t.say('fill.caution')}
        offered={WATERS}
        onSay={setWater}
        onBack={() => close()}
      />
    )
  }
  if (disinfectant === null) {
    return (
      <InWater
        about={tank.name}
        onSay={setDisinfectant}
        onBack={() => setWater(null)}
        onNothing={() => setDisinfectant(NOTHING_IN_WATER)}
      />
    )
  }
  if (temp === undefined) {
    return <WaterTemp onTemp={setTemp} onBack={() => setDisinfectant(null)} />
  }
  const save = async (litres: number | null) => {
    const draft = fillDraft({
      bathId: phone.newId(),
      placeId: tank.id,
      water,
      waterTempC: temp === null ? null : Math.round(t.tempCOf(temp) * 10) / 10,
      disinfectant: disinfectant === NOTHING_IN_WATER ? null : disinfectant,
      litres,
    })
    const written = await writing.write(draft)
    if (written !== null) close(t.say('fill.done'))
  }
  return (
    <>
      <WritePanel writing={writing} />
      <Measure
        key="litres"
        title={t.say('fill.litres')}
        unit="l"
        max={LITRE_LIMIT}
        min={1}
        onMeasured={save}
        onBack={() => setTemp(undefined)}
      />
    </>
  )
}

interface WaterTempProps {
  readonly onTemp: (shown: number | null) => void
  readonly onBack: () => void
}

/** In the person's unit; freezing water is no bath. */
function WaterTemp({ onTemp, onBack }: WaterTempProps) {
  const t = useSpeaker()
  const inF = t.settings.tempUnit === 'F'
  return (
    <Measure
      title={t.say('fill.temp')}
      unit={`°${t.settings.tempUnit}`}
      max={Math.floor(inF ? WATER_LIMIT_C * 1.8 + 32 : WATER_LIMIT_C)}
      min={inF ? 32 : 0}
      onMeasured={onTemp}
      onBack={onBack}
    />
  )
}

function tankOf(place: PhonePlace | null): PhonePlace | null {
  return place?.placeKind === 'tank' ? place : null
}

interface WhichTankProps {
  readonly phone: Phone
  readonly onTank: (tank: PhonePlace) => void
  readonly onBack: () => void
}

function WhichTank({ phone, onTank, onBack }: WhichTankProps) {
  const t = useSpeaker()
  const tanks = phone.snapshot.places().filter((place) => tankOf(place) !== null)
  return (
    <>
      <StepHeader title={t.say('fill.tank')} />
      {tanks.length === 0 ? <Trouble what={t.say('fill.noTank')} /> : null}
      <Actions>
        {tanks.map((tank) => (
          <BigButton key={tank.id} onPress={() => onTank(tank)}>
            {tank.name}
          </BigButton>
        ))}
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

function TankFull({ name, onBack }: { name: string; onBack: () => void }) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={name} />
      <Trouble what={t.say('fill.full')} />
      <Actions>
        <BigButton onPress={onBack}>{t.say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

interface InWaterProps {
  readonly about: string
  readonly onSay: (kept: string) => void
  readonly onNothing: () => void
  readonly onBack: () => void
}

/** Clean water is the usual answer, and one tap. */
function InWater({ about, onSay, onNothing, onBack }: InWaterProps) {
  const t = useSpeaker()
  const [something, setSomething] = useState(false)
  if (something) {
    return (
      <SayWhy
        title={t.say('fill.disinfectant')}
        about={about}
        caution={t.say('tool.caution')}
        offered={WATER_ADDITIONS}
        onSay={onSay}
        onBack={() => setSomething(false)}
      />
    )
  }
  return (
    <>
      <StepHeader title={t.say('fill.disinfectant')} about={about} />
      <Actions>
        <BigButton onPress={() => setSomething(true)}>{t.say('part.yes')}</BigButton>
        <BigButton look="main" onPress={onNothing}>
          {t.say('fill.nothing')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface MeasureProps {
  readonly title: string
  readonly unit: string
  readonly min: number
  readonly max: number
  /** Null when it was not measured. */
  readonly onMeasured: (value: number | null) => unknown
  readonly onBack: () => void
}

/** A number that may be left out. */
function Measure({ title, unit, min, max, onMeasured, onBack }: MeasureProps) {
  const t = useSpeaker()
  const [value, setValue] = useState<number | null>(null)
  const fits = value !== null && value >= min && value <= max
  return (
    <>
      <StepHeader title={title} />
      <div class="titled">
        <NumberPad
          label={title}
          value={value}
          min={min}
          max={max}
          unit={unit}
          onChange={setValue}
        />
      </div>
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={() => onMeasured(value)}>
          {t.say('part.next')}
        </BigButton>
        <div class="row small-words">
          <BigButton look="quiet" onPress={onBack}>
            {t.say('part.back')}
          </BigButton>
          <BigButton look="quiet" onPress={() => onMeasured(null)}>
            {t.say('fill.skip')}
          </BigButton>
        </div>
      </Actions>
    </>
  )
}

function EmptyScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [bath, setBath] = useState(() => bathOf(found, phone))
  if (bath === null) return <WhichBath phone={phone} onBath={setBath} onBack={() => close()} />
  const inside = woodInBath(bath, phone)
  const what = t.list(
    inside.map((line) => `${lineName(line, phone, t)} (${piecesWords(line.portion, t)})`),
  )
  const empty = async () => {
    const written = await writing.write(emptyDraft(bath.id))
    if (written !== null) close(t.say('empty.done'))
  }
  return (
    <>
      <StepHeader title={t.say('empty.title')} about={bath.name} />
      {inside.length === 0 ? null : <Trouble what={t.say('empty.still', { what })} />}
      <WritePanel writing={writing} />
      <Actions>
        <BigButton look="quiet" onPress={() => close()}>
          {t.say('part.back')}
        </BigButton>
        <BigButton look={inside.length === 0 ? 'main' : 'stop'} onPress={empty}>
          {t.say('empty.yes')}
        </BigButton>
      </Actions>
    </>
  )
}

export const fillJob: Job = {
  id: 'bath-fill',
  title: 'fill.title',
  order: 35,
  withoutScan: true,
  offeredFor: (found, phone) =>
    tankOf(placeOf(found, phone)) !== null && bathOf(found, phone) === null,
  Screen: FillScreen,
}

export const emptyJob: Job = {
  id: 'bath-empty',
  title: 'empty.title',
  order: 36,
  withoutScan: true,
  offeredFor: (found, phone) => bathOf(found, phone) !== null,
  Screen: EmptyScreen,
}
