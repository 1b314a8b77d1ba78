/** @jsxImportSource preact */
// Asks which rows are grafted in the morning, and has the server work out the list for them.
import { useState } from 'preact/hooks'
import type { Phone, PhoneRow, TonightAnswer } from '../../phone.ts'
import { Actions, BigButton, StepHeader, Trouble } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import type { PlainKey } from '../../words/say.ts'
import { TONIGHT_ROW_LIMIT } from '../../snapshot/tonight.ts'
import { rowName } from '../row-picker.tsx'

interface ChooseRowsProps {
  readonly phone: Phone
  /** Rows chosen from the start: those of the list before. */
  readonly before: readonly string[]
  readonly onFetched: () => void
  readonly onBack: () => void
}

const troubles: Readonly<Record<Exclude<TonightAnswer, 'fetched'>, PlainKey>> = {
  'no network': 'tonight.noNetwork',
  'not let in': 'tonight.notLetIn',
  'server trouble': 'tonight.trouble',
}

export function ChooseRows({ phone, before, onFetched, onBack }: ChooseRowsProps) {
  const t = useSpeaker()
  const rows = plannedRows(phone)
  const [chosen, setChosen] = useState<ReadonlySet<string>>(() => new Set(before))
  const [answer, setAnswer] = useState<TonightAnswer | 'asking' | null>(null)
  const rowIds = rows.flatMap(({ rowId }) => (chosen.has(rowId) ? rowId : []))
  const ask = async () => {
    setAnswer('asking')
    const told = await phone.fetchTonight(rowIds)
    if (told === 'fetched') onFetched()
    else setAnswer(told)
  }
  const toggle = (rowId: string) => {
    const next = new Set(chosen)
    if (!next.delete(rowId)) next.add(rowId)
    setChosen(next)
  }
  const fits = rowIds.length > 0 && rowIds.length <= TONIGHT_ROW_LIMIT
  return (
    <>
      <StepHeader
        title={t.say('tonight.rows')}
        about={t.say('tonight.chosen', { count: rowIds.length })}
      />
      {rows.length === 0 ? <Trouble what={t.say('tonight.noRows')} /> : null}
      <div class="choices">
        {rows.map((row) => (
          <BigButton
            key={row.rowId}
            pressed={chosen.has(row.rowId)}
            detail={varietiesOf(row, phone)}
            onPress={() => toggle(row.rowId)}
          >
            {rowName(row, t)}
          </BigButton>
        ))}
      </div>
      {answer === 'asking' ? <p role="status">{t.say('tonight.asking')}</p> : null}
      {answer === null || answer === 'asking' || answer === 'fetched' ? null : (
        <Trouble what={t.say(troubles[answer])} />
      )}
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={ask}>
          {t.say('tonight.fetch')}
        </BigButton>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** Rows with a plan for this season, block by block. */
function plannedRows(phone: Phone): readonly PhoneRow[] {
  const { snapshot } = phone
  return snapshot
    .blocks()
    .flatMap(({ id }) => snapshot.rows(id))
    .filter(({ rowId }) => snapshot.plans(rowId).length > 0)
}

function varietiesOf({ rowId }: PhoneRow, phone: Phone): string {
  const names = phone.snapshot.plans(rowId).map(({ varietyName }) => varietyName)
  return [...new Set(names)].join(', ')
}
