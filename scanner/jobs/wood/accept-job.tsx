/** @jsxImportSource preact */
// Whoever is handed wood scans the giver's phone, counts, and says that they have it.
import { useEffect, useState } from 'preact/hooks'
import { readHandoverText } from '#wire/handover.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { useNow } from '../../screens/moments.ts'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { VerdictPanel } from '../../screens/verdict.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { recall, remember } from '../remember.ts'
import { woodWords } from './give-job.tsx'
import { TAKEN_KEY, TakenOver, withTaken } from './taken-over.ts'
import { acceptDraft } from './wood-drafts.ts'

/** Entries looked through for the same handover. */
const LOOK_BACK = 300
const COUNT_LIMIT = 100_000

function AcceptScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const nowMs = useNow(phone)
  const writing = useWriting(phone)
  const [isCounting, setCounting] = useState(false)
  const [count, setCount] = useState<number | null>(null)
  const handover = found?.what === 'handover' ? readHandoverText(found.text) : null
  const isAlready = useIsAccepted({ phone, handoverId: handover?.handoverId ?? null })
  if (handover === null) return null
  const { handoverId, wood } = handover
  const accept = async (counted: number) => {
    const draft = acceptDraft(handoverId, { ...wood, count: counted }, '', handover.toHolderId)
    const written = await writing.write(draft)
    if (written === null) return
    const holderId = handover.toHolderId ?? phone.settings.personId
    if (holderId !== null) {
      const { lotId, bundleId } = wood
      const taken = (await recall(TAKEN_KEY, TakenOver)) ?? []
      await remember(TAKEN_KEY, withTaken(taken, { lotId, bundleId, holderId }))
    }
    close(t.say('accept.done'))
  }
  const back = (
    <BigButton look="quiet" onPress={() => (isCounting ? setCounting(false) : close())}>
      {t.say('part.back')}
    </BigButton>
  )
  const pieces = (counted: number) =>
    t.say(wood.unit === 'stick' ? 'count.sticks' : 'count.buds', { count: counted })
  if (isCounting) {
    const fits = count !== null && count >= 1 && count <= COUNT_LIMIT
    const words = { said: pieces(wood.count), counted: pieces(count ?? 0) }
    return (
      <>
        <StepHeader title={t.say('accept.count')} about={woodWords(wood, phone, t)} />
        <NumberPad
          label={t.say(wood.unit === 'stick' ? 'basket.sticks' : 'basket.buds')}
          value={count}
          min={1}
          max={COUNT_LIMIT}
          onChange={setCount}
        />
        <WritePanel writing={writing} />
        <Actions>
          {fits && count !== wood.count ? <Trouble what={t.say('accept.differs', words)} /> : null}
          <BigButton look="main" disabled={!fits} onPress={() => accept(count ?? 0)}>
            {t.say('accept.save', words)}
          </BigButton>
          {back}
        </Actions>
      </>
    )
  }
  return (
    <>
      <StepHeader title={t.say('accept.title')} about={t.say('accept.what')} />
      <p class="given">{woodWords(wood, phone, t)}</p>
      <VerdictPanel judgement={phone.snapshot.judgeWood(wood, null, nowMs)} />
      {isAlready ? <Trouble what={t.say('accept.already')} /> : null}
      <WritePanel writing={writing} />
      <Actions>
        <BigButton onPress={() => setCounting(true)}>{t.say('accept.other')}</BigButton>
        <BigButton look="main" disabled={isAlready} onPress={() => accept(wood.count)}>
          {t.say('accept.yes')}
        </BigButton>
        {back}
      </Actions>
    </>
  )
}

/** Has this phone taken the same wood over before? */
function useIsAccepted(given: { phone: JobProps['phone']; handoverId: string | null }): boolean {
  const { phone, handoverId } = given
  const [isAccepted, setAccepted] = useState(false)
  useEffect(() => {
    void phone.recent(LOOK_BACK).then((recent) => {
      const same = recent.some(({ body }) => 'handoverId' in body && body.handoverId === handoverId)
      setAccepted(same)
    })
  }, [phone, handoverId])
  return isAccepted
}

export const acceptJob: Job = {
  id: 'accept',
  title: 'accept.title',
  order: 5,
  withoutScan: false,
  offeredFor: (found) => found.what === 'handover',
  Screen: AcceptScreen,
}
