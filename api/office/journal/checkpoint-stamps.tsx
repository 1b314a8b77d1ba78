// The stamps of time that checkpoints have, and how anybody checks a checkpoint or a stamp.
import type { KeptStamp } from '../../journal/stamps.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

/** The newest stamps; nothing where none was ever asked for. */
export function Stamps({ stamps, zone }: { stamps: readonly KeptStamp[]; zone: string }) {
  if (stamps.length === 0) return null
  return (
    <Table
      caption="The newest stamps of time, as the stamps say"
      head={['Entries', 'Stamped', 'By', 'Take away']}
      numbers={[0]}
    >
      {stamps.map(({ size, keyNumber, stampedAt, authority, isTrusted }) => (
        <tr>
          <td class="number">{size}</td>
          <td>{shownTime(stampedAt, zone)}</td>
          <td>
            {authority}
            <span class="quiet">
              {isTrusted
                ? ', trusted by CANEMARK_STAMP_CA'
                : ', whether to trust it is for the reader'}
            </span>
          </td>
          <td>
            <a href={`/journal/checkpoints/${size}/stamp?key=${keyNumber}`}>Stamp</a>,{' '}
            <a href={`/journal/checkpoints/${size}?key=${keyNumber}`}>its note</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

/** What to do with a note that somebody kept. */
export function HowToCheck() {
  return (
    <section aria-labelledby="how-to-check">
      <h2 id="how-to-check">How to check one that was kept elsewhere</h2>
      <ol>
        <li>
          Whoever kept it brings the file, the mail or the label; the text of a label’s symbol,
          saved as a file, will do.
        </li>
        <li>
          On this server, with them watching: <code>npm run verify -- --key 'KEY' FILE</code>, with
          the key as they have it from before. It reads every entry again and says{' '}
          <strong>all holds</strong>, or <strong>NOT RIGHT</strong> and among which entries.
        </li>
        <li>
          A stamp of time, anywhere with OpenSSL 3 and the authority’s root certificate:{' '}
          <code>openssl ts -verify -data NOTE.txt -in STAMP.tsr -CAfile authority.pem</code>
        </li>
        <li>
          A dossier checks its own entries, stamps too, in any browser; docs/dossier.md has a recipe
          without our program.
        </li>
      </ol>
    </section>
  )
}
