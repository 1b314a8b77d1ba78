/** @jsxImportSource preact */
// A single vine passed over, with the reason, outside of a walk.
import { useState } from 'preact/hooks'
import type { PhoneRow } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { skipDraft } from '../graft/graft-drafts.ts'
import { RowPicker, rowName, rowOf } from '../row-picker.tsx'
import { SKIP_REASONS } from '../said.ts'
import { SayWhy } from '../say-why.tsx'

function SkipScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [row, setRow] = useState<PhoneRow | null>(() => rowOf(found, phone))
  const [number, setNumber] = useState<number | null>(null)
  const [position, setPosition] = useState<number | null>(null)
  if (row === null) return <RowPicker phone={phone} onRow={setRow} onBack={() => close()} />
  if (position !== null) {
    const vine = position
    const write = async (reason: string) => {
      const written = await writing.write(skipDraft({ rowId: row.rowId, position }, reason))
      if (written !== null) close(t.say('skip.saved', { vine }))
    }
    return (
      <>
        <WritePanel writing={writing} />
        <SayWhy
          title={t.say('skip.why', { vine })}
          about={rowName(row, t)}
          offered={SKIP_REASONS}
          onSay={write}
          onBack={() => setPosition(null)}
        />
      </>
    )
  }
  const fits = number !== null && number >= 1 && number <= row.positionCount
  return (
    <>
      <StepHeader title={t.say('row.whichVine')} about={rowName(row, t)} />
      <NumberPad
        label={t.say('row.vine')}
        value={number}
        min={1}
        max={row.positionCount}
        onChange={setNumber}
      />
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={() => setPosition(number)}>
          {t.say('part.next')}
        </BigButton>
        <BigButton look="quiet" onPress={() => close()}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

export const skipJob: Job = {
  id: 'skip',
  title: 'skip.title',
  order: 45,
  withoutScan: true,
  offeredFor: (found, phone) => rowOf(found, phone) !== null,
  Screen: SkipScreen,
}
