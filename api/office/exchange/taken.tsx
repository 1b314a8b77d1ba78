// What became of a document that was taken in: its lots, what was not taken, what tells nothing.
import type { Context } from 'hono'
import type { EpcisTakenShape } from '#wire/api-epcis.ts'
import { counted } from '../../custody/finding-word-shape.ts'
import type { Env } from '../../platform/services.ts'
import { Page, Table } from '../layout.tsx'

/** The page that follows the form; nothing of it is kept but the entries of the lots. */
export function takenPage(c: Context<Env>, taken: EpcisTakenShape) {
  const { recorded, alreadyRecorded, notTaken, leftOut } = taken
  return (
    <Page
      c={c}
      title="What became of the document"
      lead={
        `${counted(recorded, 'lot')} taken in, ${alreadyRecorded} there before, ` +
        `${notTaken.length} not taken.`
      }
    >
      <Lots taken={taken} />
      {notTaken.length === 0 ? (
        <p class="note">Every lot in the document was taken in, or was there before.</p>
      ) : (
        <Table caption="Lots that were not taken in" head={['Where in the document', 'Why']}>
          {notTaken.map(({ field, why }) => (
            <tr>
              <td>{field}</td>
              <td>{why}</td>
            </tr>
          ))}
        </Table>
      )}
      {leftOut.length === 0 ? (
        <p class="note">Every event in it tells of a lot that was taken in.</p>
      ) : (
        <>
          <Table
            caption="Events that were read and tell nothing that is taken in"
            head={['What', 'Events']}
            numbers={[1]}
          >
            {leftOut.map(({ what, events }) => (
              <tr>
                <td>{what}</td>
                <td class="number">{events}</td>
              </tr>
            ))}
          </Table>
          <p class="hint">
            Of another nursery’s record only the arrival of its wood becomes an entry here. Keep the
            document: what it tells of the time before stands in it alone.
          </p>
        </>
      )}
      <p class="actions">
        <a class="button" href="/exchange">
          Take in another
        </a>
      </p>
    </Page>
  )
}

function Lots({ taken: { lots } }: { taken: EpcisTakenShape }) {
  if (lots.length === 0) return <p class="note">The document brings no lot.</p>
  return (
    <Table caption="Lots" head={['Lot', 'Came in', 'Entry']} numbers={[1]}>
      {lots.map(({ lotId, reference, unit, count, entryId }) => (
        <tr>
          <td>
            <a href={`/lots/${lotId}`}>{reference}</a>
          </td>
          <td class="number">{counted(count, unit)}</td>
          <td>{entryId === null ? 'there before' : <a href={`/journal/${entryId}`}>new</a>}</td>
        </tr>
      ))}
    </Table>
  )
}
