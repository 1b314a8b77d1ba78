/** @jsxImportSource preact */
// Wood handed from one to another: written by the giver, then shown for the other phone to scan.
import { useEffect, useState } from 'preact/hooks'
import type { Judgement } from '#trade/judge.ts'
import type { WoodShape } from '#wire/basics.ts'
import { handoverText } from '#wire/handover.ts'
import type { Draft, Phone, RecentEntry, Written } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { useNow } from '../../screens/moments.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { VerdictPanel } from '../../screens/verdict.tsx'
import { bundleWords, isWoodTag, piecesWords } from '../scanned-wood.ts'
import type { Speaker } from '../../words/speaker.ts'
import { BasketJob } from './basket-job.tsx'
import type { BasketTarget } from './basket-job.tsx'
import { Symbol } from './symbol.tsx'
import { HolderStep } from './who-where.tsx'
import { handOverDrafts } from './wood-drafts.ts'

/** One handover as it is shown: its entry, and what it says. */
interface Given {
  readonly handoverId: string
  readonly wood: WoodShape
  readonly toHolderId: string
}

function GiveScreen(props: JobProps) {
  const { phone, close } = props
  const t = useSpeaker()
  const [toHolderId, setTo] = useState<string | null>(null)
  const [given, setGiven] = useState<readonly Given[] | null>(null)
  if (given !== null) return <ShowGiven {...{ phone, given, close }} />
  const save = async (target: BasketTarget, holderId: string) => {
    const giver = phone.settings.personId
    if (giver === null) return
    const portions = target.lines.map(({ portion }) => portion)
    const drafts = handOverDrafts(portions, holderId, giver, '')
    const written = await target.write(drafts)
    if (written !== null) setGiven(givenOf(written, drafts))
  }
  return (
    <BasketJob {...props} title={t.say('give.title')} takesFrom={() => true}>
      {(target) => {
        if (toHolderId !== null) {
          return (
            <Stopped
              {...{ phone, target }}
              onYes={() => save(target, toHolderId)}
              onBack={() => setTo(null)}
            />
          )
        }
        const chosen = (holderId: string) =>
          stoppedBy(phone, target, phone.now().getTime()) === null
            ? save(target, holderId)
            : setTo(holderId)
        return (
          <HolderStep
            phone={phone}
            title={t.say('give.to')}
            withMe={false}
            onHolder={chosen}
            onBack={target.back}
          />
        )
      }}
    </BasketJob>
  )
}

/** The judgement of the first wood of the basket that must not be used now, or null. */
function stoppedBy(phone: Phone, { lines }: BasketTarget, nowMs: number): Judgement | null {
  for (const { portion } of lines) {
    const wood = { ...portion, account: portion.from }
    const judgement = phone.snapshot.judgeWood(wood, null, nowMs)
    // More than the records know of is asked about in the basket already.
    const stops = judgement?.reasons.some(({ verdict, code }) => {
      return verdict === 'stop' && code !== 'stock.nothing_left'
    })
    if (stops === true) return judgement
  }
  return null
}

interface StoppedProps {
  readonly phone: Phone
  readonly target: BasketTarget
  readonly onYes: () => unknown
  readonly onBack: () => void
}

/** What has been handed over can be recorded all the same, after one plain word. */
function Stopped({ phone, target, onYes, onBack }: StoppedProps) {
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const judgement = stoppedBy(phone, target, nowMs)
  return (
    <>
      <StepHeader title={t.say('give.stop')} />
      {judgement === null ? null : <VerdictPanel judgement={judgement} />}
      <Actions>
        <BigButton look="stop" onPress={onYes}>
          {t.say('give.yes')}
        </BigButton>
        <BigButton look="main" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

interface ShowGivenProps {
  readonly phone: Phone
  readonly given: readonly Given[]
  readonly close: JobProps['close']
}

/** One symbol after the other; saved already, whatever happens to the screen. */
function ShowGiven({ phone, given, close }: ShowGivenProps) {
  const t = useSpeaker()
  const [nr, setNr] = useState(0)
  const shown = given[nr]
  if (shown === undefined) return null
  const name = phone.snapshot.nameOf(shown.toHolderId) ?? t.say('who.person')
  const what = woodWords(shown.wood, phone, t)
  const isLast = nr === given.length - 1
  return (
    <>
      <StepHeader title={t.say('give.show', { name })} about={what} />
      <Symbol text={handoverText(shown)} label={t.say('give.code', { what })} />
      <p>{t.say('give.shown')}</p>
      <Actions>
        {given.length === 1 ? null : (
          <p class="about">{t.say('give.nr', { nr: nr + 1, of: given.length })}</p>
        )}
        {isLast ? null : (
          <BigButton look="main" onPress={() => setNr(nr + 1)}>
            {t.say('give.next')}
          </BigButton>
        )}
        <BigButton
          look={isLast ? 'main' : 'quiet'}
          onPress={() => close(t.say('give.done', { name }))}
        >
          {t.say('row.finish')}
        </BigButton>
      </Actions>
    </>
  )
}

/** Like `27-014 · bundle 2 · 25 sticks`. */
export function woodWords(wood: WoodShape, phone: Phone, t: Speaker): string {
  const lot = phone.snapshot.lot(wood.lotId)
  const pieces = {
    sticks: wood.unit === 'stick' ? wood.count : 0,
    buds: wood.unit === 'bud' ? wood.count : 0,
  }
  const name = lot === null ? t.say('accept.unknownLot') : bundleWords(lot, wood.bundleId, phone, t)
  return `${name} · ${piecesWords(pieces, t)}`
}

function givenOf(written: readonly Written[], drafts: readonly Draft[]): Given[] {
  return drafts.flatMap((draft, nr): Given[] => {
    const entry = written[nr]
    if (draft.kind !== 'wood.handed_over' || entry === undefined) return []
    const { wood, toHolderId } = draft.body
    return [{ handoverId: entry.id, wood, toHolderId }]
  })
}

/** Handovers looked back on. */
const AGAIN_LIMIT = 200
const AGAIN_SHOWN = 8

/** Shows a symbol again that the other phone did not get to scan. */
function GiveAgainScreen({ phone, close }: JobProps) {
  const t = useSpeaker()
  const [recent, setRecent] = useState<readonly RecentEntry[] | null>(null)
  const [given, setGiven] = useState<Given | null>(null)
  useEffect(() => {
    void phone.recent(AGAIN_LIMIT).then(setRecent)
  }, [phone])
  if (given !== null) return <ShowGiven {...{ phone, close }} given={[given]} />
  if (recent === null) return null
  const all = recent
    .flatMap(({ written, body }) =>
      'toHolderId' in body
        ? [{ handoverId: written.id, wood: body.wood, toHolderId: body.toHolderId }]
        : [],
    )
    .slice(0, AGAIN_SHOWN)
  return (
    <>
      <StepHeader title={t.say('give.again.title')} />
      {all.length === 0 ? <Trouble what={t.say('give.again.none')} /> : null}
      <Actions>
        {all.map((one) => (
          <BigButton
            key={one.handoverId}
            detail={phone.snapshot.nameOf(one.toHolderId) ?? undefined}
            onPress={() => setGiven(one)}
          >
            {woodWords(one.wood, phone, t)}
          </BigButton>
        ))}
        <BigButton look="quiet" onPress={() => close()}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

export const giveJob: Job = {
  id: 'give',
  title: 'give.title',
  order: 22,
  withoutScan: true,
  offeredFor: (found) => isWoodTag(found),
  Screen: GiveScreen,
}

export const giveAgainJob: Job = {
  id: 'give-again',
  title: 'give.again.title',
  order: 80,
  withoutScan: true,
  offeredFor: () => false,
  Screen: GiveAgainScreen,
}
