// The labels of each print reckoned up: what was printed, less what is told of.
import type { PrintReckoning } from '../../labels/reckoning.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

/** One line for each print. */
export function Reckoning({ prints, zone }: { prints: PrintReckoning[]; zone: string }) {
  if (prints.length === 0) return <p class="note">No label was printed yet.</p>
  const head = ['Printed', 'What', 'Codes', 'Bound', 'Spoiled', 'Replaced', 'Not told of']
  return (
    <>
      <Table caption="Labels, print by print" head={head}>
        {prints.map((print) => (
          <tr>
            <td class="whole">
              <a href={`/tags/prints/${print.print_id}`}>{shownTime(print.occurred_at, zone)}</a>
            </td>
            <td>
              {print.payload}, {print.form}
              {print.reprint_reason === null ? '' : `; printed again: ${print.reprint_reason}`}
            </td>
            <td class="number">{print.printed}</td>
            <td class="number">{print.bound}</td>
            <td class="number">{print.spoiled}</td>
            <td class="number">{print.replaced}</td>
            <td class="number">{print.missing}</td>
          </tr>
        ))}
      </Table>
      <p class="note">
        Not told of: on the roll still, or lost. Count the roll; record what is spoiled. Labels
        printed again bear codes that an earlier print counts too.
      </p>
    </>
  )
}
