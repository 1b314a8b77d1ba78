// Custody: who has which wood in hand, and since when.
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { readInHand } from '../../custody/in-hand.ts'
import type { InHand } from '../../custody/in-hand.ts'
import { judgePieces } from '../../lots/judge-lots.ts'
import { piecesText } from '../../lots/pieces.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'

/** Shows crews and people with the wood that each has. */
export async function showInHand(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const holders = await readInHand(db, zone)
  const withWood = holders.filter(({ positions }) => positions.length > 0)
  const without = holders.filter(({ positions }) => positions.length === 0)
  const pieces = withWood.flatMap(({ positions }) => positions)
  const judged = await judgePieces(db, pieces, clock.now())
  const verdicts = new Map(pieces.map(({ key }, nr) => [key, judged[nr] ?? null]))
  return show(
    c,
    <Page
      c={c}
      title="Custody"
      lead="Who has which wood. Buds set on vines are taken off as they are recorded."
      actions={<Actions />}
    >
      <Saved c={c} />
      {holders.length === 0 ? (
        <p class="note">
          Nobody can take wood yet. Register <a href="/nursery/parties">a crew</a> or{' '}
          <a href="/people">a person</a>.
        </p>
      ) : null}
      {withWood.map((holder) => (
        <HolderSection holder={holder} verdicts={verdicts} zone={zone} />
      ))}
      {without.length === 0 ? null : (
        <p>With nothing in hand: {without.map(({ name }) => name).join(', ')}.</p>
      )}
    </Page>,
  )
}

function Actions() {
  return (
    <>
      <a class="button main" href="/custody/hand-over">
        Hand over
      </a>
      <a class="button" href="/custody/return">
        Take back
      </a>
      <a class="button" href="/custody/holds">
        Holds
      </a>
      <a class="button" href="/custody/audit">
        Audit
      </a>
    </>
  )
}

function HolderSection(props: {
  holder: InHand
  verdicts: Map<string, Judgement | null>
  zone: string
}) {
  const { holder, verdicts, zone } = props
  const heading = `holder-${holder.holderId}`
  return (
    <section aria-labelledby={heading}>
      <h2 id={heading}>
        {holder.name} <span class="quiet">({holder.what})</span>
      </h2>
      <Table
        caption={`In hand: ${holder.budEquivalents} buds in all`}
        head={['Lot', 'Bundle', 'Variety', 'Left', 'Since', 'Verdict']}
      >
        {holder.positions.map((position) => {
          const verdict = verdicts.get(position.key) ?? null
          return (
            <tr>
              <td class="whole">
                <a href={`/lots/${position.lotId}`}>{position.reference}</a>
              </td>
              <td>{position.bundleNumber === null ? 'loose' : position.bundleNumber}</td>
              <td>{position.variety ?? 'unknown'}</td>
              <td class="whole">{piecesText(position.material, position)}</td>
              <td class="whole">{shownTime(position.lastAt, zone)}</td>
              <td>{verdict === null ? '' : <VerdictMark verdict={verdict.verdict} />}</td>
            </tr>
          )
        })}
      </Table>
      <p class="actions">
        <a class="button" href={`/custody/return?holder=${holder.holderId}`}>
          Take back from {holder.name}
        </a>
      </p>
    </section>
  )
}
