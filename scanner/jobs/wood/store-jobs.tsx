/** @jsxImportSource preact */
// Wood put into a place or brought back, into a bath, and out of it again.
import type { Found, Phone, PhoneBath, PhonePlace } from '../../phone.ts'
import { useNow } from '../../screens/moments.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { isWoodTag } from '../scanned-wood.ts'
import type { Line } from './basket.ts'
import { BasketJob } from './basket-job.tsx'
import type { BasketTarget } from './basket-job.tsx'
import { bathOf, woodInBath } from './bath-of.ts'
import { AccountStep, placeOf, PlaceStep } from './who-where.tsx'
import { bathInDrafts, bathOutDrafts, moveDrafts } from './wood-drafts.ts'

const portionsOf = ({ lines }: BasketTarget) => lines.map(({ portion }) => portion)

function MoveScreen(props: JobProps) {
  const { phone, found, close } = props
  const t = useSpeaker()
  const scanned = placeOf(found, phone)
  const put = async (target: BasketTarget, place: PhonePlace) => {
    const written = await target.write(moveDrafts(portionsOf(target), place.id))
    const count = target.lines.length
    if (written !== null) close(t.say('move.done', { count, place: place.name }))
  }
  return (
    <BasketJob {...props} title={t.say('move.title')} takesFrom={() => true}>
      {(target) =>
        scanned === null ? (
          <PlaceStep
            phone={phone}
            title={t.say('move.where')}
            onPlace={(place) => put(target, place)}
            onBack={target.back}
          />
        ) : (
          <Confirm
            title={t.say('move.title')}
            words={scanned.name}
            onYes={() => put(target, scanned)}
            onBack={target.back}
          />
        )
      }
    </BasketJob>
  )
}

interface BathInProps extends JobProps {
  /** Wood that is on the list from the start, besides what was scanned. */
  readonly initial?: readonly Line[]
}

/** Wood goes into a bath: the one read or told, else the one that is chosen. */
export function BathInScreen(props: BathInProps) {
  const { phone, found, close } = props
  const t = useSpeaker()
  const scanned = bathOf(found, phone)
  const put = async (target: BasketTarget, bath: PhoneBath) => {
    const written = await target.write(bathInDrafts(portionsOf(target), bath.id))
    if (written !== null) close(t.say('bathIn.done', { bath: bath.name }))
  }
  return (
    <BasketJob
      {...props}
      title={t.say('bathIn.title')}
      takesFrom={(account) => account.kind !== 'bath'}
    >
      {(target) =>
        scanned === null ? (
          <WhichBath phone={phone} onBath={(bath) => put(target, bath)} onBack={target.back} />
        ) : (
          <Confirm
            title={t.say('bathIn.title')}
            words={scanned.name}
            onYes={() => put(target, scanned)}
            onBack={target.back}
          />
        )
      }
    </BasketJob>
  )
}

function BathOutScreen(props: JobProps) {
  const { phone, found, close } = props
  const t = useSpeaker()
  const bath = bathOf(found, phone)
  return (
    <BasketJob
      {...props}
      title={t.say('bathOut.title')}
      takesFrom={({ kind, id }) => kind === 'bath' && (bath === null || id === bath.id)}
      onlyKnown
      initial={bath === null ? [] : woodInBath(bath, phone)}
    >
      {(target) => (
        <AccountStep
          phone={phone}
          title={t.say('bathOut.where')}
          onAccount={async (to) => {
            const written = await target.write(bathOutDrafts(portionsOf(target), to))
            if (written !== null) close(t.say('bathOut.done'))
          }}
          onBack={target.back}
        />
      )}
    </BasketJob>
  )
}

interface WhichBathProps {
  readonly phone: Phone
  readonly onBath: (bath: PhoneBath) => unknown
  readonly onBack: () => void
}

/** A filled bath, by its tag or its tank's, or out of those that stand. */
export function WhichBath({ phone, onBath, onBack }: WhichBathProps) {
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const baths = phone.snapshot.baths()
  const fits = (found: Found) => bathOf(found, phone) !== null || t.say('bathIn.none')
  const take = (found: Found) => {
    const bath = bathOf(found, phone)
    return bath === null ? undefined : onBath(bath)
  }
  return (
    <>
      <StepHeader title={t.say('bathIn.where')} />
      {baths.length === 0 ? <Trouble what={t.say('bathIn.none')} /> : null}
      <ScanNext phone={phone} ask={t.say('bathIn.scan')} fits={fits} onFound={take} />
      <div class="choices">
        {baths.map((bath) => (
          <BigButton
            key={bath.id}
            detail={t.say('bathIn.filled', { age: t.span(nowMs - Date.parse(bath.filledAt)) })}
            onPress={() => onBath(bath)}
          >
            {bath.name}
          </BigButton>
        ))}
      </div>
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface ConfirmProps {
  readonly title: string
  readonly words: string
  readonly onYes: () => unknown
  readonly onBack: () => void
}

/** One tap to save, when everything has been scanned. */
function Confirm({ title, words, onYes, onBack }: ConfirmProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={title} about={words} />
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
        <BigButton look="main" detail={words} onPress={onYes}>
          {t.say('part.save')}
        </BigButton>
      </Actions>
    </>
  )
}

function isStorePlace(found: Found, phone: Phone): boolean {
  const place = placeOf(found, phone)
  return place !== null && place.placeKind !== 'tank'
}

export const moveJob: Job = {
  id: 'move',
  title: 'move.title',
  order: 25,
  withoutScan: true,
  offeredFor: (found, phone) => isWoodTag(found) || isStorePlace(found, phone),
  Screen: MoveScreen,
}

export const bathInJob: Job = {
  id: 'bath-in',
  title: 'bathIn.title',
  order: 30,
  withoutScan: true,
  offeredFor: (found, phone) => isWoodTag(found) || bathOf(found, phone) !== null,
  Screen: BathInScreen,
}

export const bathOutJob: Job = {
  id: 'bath-out',
  title: 'bathOut.title',
  order: 28,
  withoutScan: false,
  offeredFor: (found, phone) => bathOf(found, phone) !== null || liesInBath(found, phone),
  Screen: BathOutScreen,
}

/** Offered only for wood that is in water. */
function liesInBath(found: Found, phone: Phone): boolean {
  if (found.what !== 'thing' || !isWoodTag(found)) return false
  const { kind, id } = found.thing
  const lot = kind === 'lot' ? phone.snapshot.lot(id) : phone.snapshot.lotOfBundle(id)
  return (
    lot?.stock.some(
      ({ account, bundleId, sticks, buds }) =>
        account.kind === 'bath' && (kind === 'lot' || bundleId === id) && sticks + buds > 0,
    ) ?? false
  )
}
