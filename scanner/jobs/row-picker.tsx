/** @jsxImportSource preact */
// Chooses a row: by the tag on its post, or by block and label.
import { useState } from 'preact/hooks'
import type { Found, Phone, PhoneRow } from '../phone.ts'
import { Actions, BigButton, ChoiceList, StepHeader, Trouble } from '../screens/parts.tsx'
import { ScanNext } from '../screens/scan-next.tsx'
import { useSpeaker } from '../screens/speak.tsx'
import type { Speaker } from '../words/speaker.ts'

interface RowPickerProps {
  readonly phone: Phone
  readonly onRow: (row: PhoneRow) => void
  readonly onBack: () => void
}

/** The post's tag first; a person without one finds the row by its block. */
export function RowPicker({ phone, onRow, onBack }: RowPickerProps) {
  const t = useSpeaker()
  const [blockId, setBlockId] = useState<string | null>(null)
  const blocks = phone.snapshot.blocks()
  const fits = (found: Found) => rowOf(found, phone) !== null || t.say('row.notARow')
  const take = (found: Found) => {
    const row = rowOf(found, phone)
    if (row !== null) onRow(row)
  }
  const block = blocks.find(({ id }) => id === blockId)
  if (block !== undefined) {
    return (
      <>
        <StepHeader title={t.say('row.chooseRow', { block: block.name })} />
        <div class="row-labels">
          {[...phone.snapshot.rows(block.id)]
            .sort((one, other) => one.sequence - other.sequence)
            .map((row) => (
              <BigButton key={row.rowId} onPress={() => onRow(row)}>
                {row.label}
              </BigButton>
            ))}
        </div>
        <Actions>
          <BigButton look="quiet" onPress={() => setBlockId(null)}>
            {t.say('part.back')}
          </BigButton>
        </Actions>
      </>
    )
  }
  return (
    <>
      <StepHeader title={t.say('row.which')} />
      <ScanNext phone={phone} ask={t.say('row.scanPost')} fits={fits} onFound={take} />
      {blocks.length === 0 ? (
        <Trouble what={t.say('row.noBlocks')} />
      ) : (
        <ChoiceList
          label={t.say('row.chooseBlock')}
          choices={blocks.map(({ id, name }) => ({ id, words: name }))}
          chosen={null}
          onChoose={setBlockId}
        />
      )}
      <Actions>
        <BigButton look="quiet" onPress={onBack}>
          {t.say('part.back')}
        </BigButton>
      </Actions>
    </>
  )
}

/** The row that a read leads to, or null. */
export function rowOf(found: Found | null, phone: Phone): PhoneRow | null {
  if (found === null || found.what !== 'thing' || found.thing.kind !== 'row') return null
  return phone.snapshot.row(found.thing.id)
}

/** Like `Row 4, Upper`. */
export function rowName(row: PhoneRow, t: Speaker): string {
  return t.say('row.name', { row: row.label, block: row.blockName })
}
