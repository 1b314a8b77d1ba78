// Entries that came after their device was revoked, in the form in which each is judged.
import { HELD_PAGE } from '../../people/held-entries.ts'
import type { HeldLine } from '../../people/held-entries.ts'
import type { DeviceLine } from '../../people/devices.ts'
import type { FormState } from '../form.ts'
import { NoteField } from '../form-page.tsx'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

/** The list and the form. */
export function HeldEntries(props: {
  device: DeviceLine
  held: HeldLine[]
  form: FormState
  zone: string
}) {
  const { device, held, form, zone } = props
  const chosen = new Set(form.values.entry ?? [])
  return (
    <form method="post" action={`/people/devices/${device.device_id}/held`} id="field-entry">
      <h2>Entries that came after it was revoked</h2>
      <p>
        They are not in the journal. Accept what you know to be true, for example because the person
        confirms it; leave out the rest. Both are kept, with your name and your reason.
      </p>
      <Table
        caption={`${held.length} entries${held.length === HELD_PAGE ? ', the first of more' : ''}`}
        head={['Choose', 'What', 'By the device’s clock', 'Came in', 'Signed', 'Content']}
      >
        {held.map((entry) => (
          <tr>
            <td>
              <input
                type="checkbox"
                name="entry"
                value={String(entry.setAsideId)}
                checked={chosen.has(String(entry.setAsideId))}
                aria-label={`choose ${entry.kind} of ${entry.occurredAt}`}
              />
            </td>
            <td>{entry.kind}</td>
            <td>{entry.occurredAt}</td>
            <td>{shownTime(entry.receivedAt, zone)}</td>
            <td>{signedWords(entry)}</td>
            <td>
              <details>
                <summary>Show</summary>
                <pre tabindex={0}>{entry.raw.slice(0, shownCharacters)}</pre>
              </details>
            </td>
          </tr>
        ))}
      </Table>
      <NoteField form={form} name="judgement" label="Reason" required />
      <p class="actions">
        <button class="main" name="what" value="accept">
          Accept the chosen ones
        </button>
        <button name="what" value="leave">
          Leave them out
        </button>
      </p>
    </form>
  )
}

const shownCharacters = 4000

function signedWords({ signed }: HeldLine): string {
  if (signed === null) return 'no: a machine'
  return signed ? 'by its key' : 'not by its key'
}
