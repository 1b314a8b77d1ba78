/** @jsxImportSource preact */
// The whole cut on one screen before it is saved, with the reference and the rule it is made by.
import { useState } from 'preact/hooks'
import type { Phone } from '../../phone.ts'
import type { JobProps } from '../../screens/job.ts'
import {
  Actions,
  BigButton,
  ChoiceList,
  Facts,
  StepHeader,
  TextField,
} from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import { typedWords } from '../said.ts'
import { accountWords } from '../scanned-wood.ts'
import { budsPerStick, cutDrafts } from './cut-drafts.ts'
import type { CutRecord } from './cut-record.ts'

interface CutSummaryProps {
  readonly phone: Phone
  readonly cut: CutRecord
  readonly close: JobProps['close']
  readonly keep: (cut: CutRecord | null) => Promise<void>
}

export function CutSummary({ phone, cut, close, keep }: CutSummaryProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [reference, setReference] = useState(cut.reference)
  const source = phone.snapshot.source(cut.sourceId)
  const { material, sticks, to } = cut
  if (source === null || material === null || sticks === null || to === null) return null
  const counts = cut.sample.map((buds) => t.number(buds)).join(', ')
  const save = async () => {
    const whole = { ...cut, material, sticks, to, reference: typedWords(reference) }
    const note = `Buds on the sticks counted: ${cut.sample.join(', ')}`
    const from = {
      sourceId: source.id,
      varietyId: source.varietyId,
      clone: source.clone,
      scheme: source.scheme,
      className: source.className,
    }
    const written = await writing.write(...cutDrafts({ ...whole, note }, from))
    if (written === null) return
    await keep(null)
    close(t.say('cut.done', { reference: whole.reference }))
  }
  return (
    <>
      <StepHeader title={t.say('cut.check')} />
      <TextField
        label={t.say('cut.reference')}
        value={reference}
        hint={t.say('cut.referenceRule')}
        maxLength={40}
        onInput={setReference}
      />
      <Facts
        rows={[
          [t.say('cut.source'), `${source.name} · ${source.varietyName}`],
          [t.say('cut.count'), t.number(sticks)],
          [t.say('cut.perStick'), `${t.number(budsPerStick(cut.sample))} (${counts})`],
          [t.say('cut.bundles'), t.number(cut.bundles.length)],
          [t.say('cut.now'), accountWords(to, phone, t)],
        ]}
      />
      <ChoiceList
        label={t.say('cut.year')}
        inRow
        choices={yearsAround(cut.harvestYear).map((id) => ({ id, words: id }))}
        chosen={String(cut.harvestYear)}
        onChoose={(year) => keep({ ...cut, reference, harvestYear: Number(year) })}
      />
      <WritePanel writing={writing} />
      <Actions>
        <BigButton look="quiet" onPress={() => keep({ ...cut, to: null })}>
          {t.say('part.back')}
        </BigButton>
        <BigButton look="main" disabled={typedWords(reference) === ''} onPress={save}>
          {t.say('cut.save')}
        </BigButton>
      </Actions>
    </>
  )
}

/** The year that is chosen, between its neighbours. */
function yearsAround(year: number): string[] {
  return [year - 1, year, year + 1].map(String)
}
