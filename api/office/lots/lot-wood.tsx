// Where a lot's wood is, its bundles with their tags, and its books, which add up to nothing.
import { formatTagCode } from '#trade/tag-code.ts'
import { bundleAdvice } from '../../lots/bundles.ts'
import type { LotDetail, LotIdentity } from '../../lots/lot-detail.ts'
import { AT_HAND } from '../../lots/lot-stock.ts'
import type { BundleStock, Holding } from '../../lots/lot-stock.ts'
import { piecesText, pieceWord } from '../../lots/pieces.ts'
import type { AccountName } from '../../store/account-names.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'

type Shown = {
  detail: LotDetail
  lot: LotIdentity
  nameOf: AccountName
  zone: string
}

/** Where the wood that can still be used is, position by position. */
export function WhereItIs(props: Shown & { positions: WoodPosition[] }) {
  const { lot, positions, zone } = props
  return (
    <section aria-labelledby="where">
      <h2 id="where">Where the wood is</h2>
      {positions.length === 0 ? (
        <p class="note">Nothing of it is left at hand.</p>
      ) : (
        <Table caption="What is left, by place" head={['Where', 'Bundle', 'There', 'Since']}>
          {positions.map((position) => (
            <tr>
              <td>
                <AccountLink account={position.account} name={position.accountName} />
              </td>
              <td>{position.bundleNumber === null ? 'loose' : position.bundleNumber}</td>
              <td class="whole">{piecesText(lot.material, position)}</td>
              <td class="whole">{shownTime(position.lastAt, zone)}</td>
            </tr>
          ))}
        </Table>
      )}
    </section>
  )
}

/** A place, bath or holder with the way to its page; other accounts are only named. */
function AccountLink({ account, name }: { account: { kind: string; id: string }; name: string }) {
  if (account.kind === 'place') return <a href={`/store?place=${account.id}`}>{name}</a>
  if (account.kind === 'bath') return <a href={`/soak/${account.id}`}>{name}</a>
  if (account.kind === 'holder') return <a href="/custody">{name}</a>
  return <>{name}</>
}

/** The bundles with their tags; unusual package counts are told, not refused. */
export function LotBundles({ detail, lot, nameOf }: Shown) {
  if (detail.bundles.length === 0) return null
  const advice = new Set(
    detail.bundles.flatMap(({ unit, count }) => {
      const budsPerStick = lot.buds_per_stick ?? 0
      if (unit === null || count === null) return []
      return bundleAdvice(lot.material ?? '', budsPerStick, unit, count) ?? []
    }),
  )
  return (
    <section aria-labelledby="bundles">
      <h2 id="bundles">Bundles</h2>
      {[...advice].map((text) => (
        <p class="care">{text} A warning only: the bundles are saved as they are.</p>
      ))}
      <Table
        caption={`${detail.bundles.length} tied`}
        head={['Bundle', 'Tied with', 'Now', 'Tags']}
      >
        {detail.bundles.map((bundle) => (
          <tr>
            <td>{bundle.number ?? 'never tied'}</td>
            <td class="whole">{tiedWith(bundle, lot.material)}</td>
            <td>{bundleNow(bundle, lot.material, nameOf)}</td>
            <td>
              <Tags bundle={bundle} />
            </td>
          </tr>
        ))}
      </Table>
    </section>
  )
}

function tiedWith({ unit, count }: BundleStock, material: string | null): string {
  if (count === null) return 'not recorded'
  return piecesText(
    material,
    unit === 'bud' ? { sticks: 0, buds: count } : { sticks: count, buds: 0 },
  )
}

function bundleNow(bundle: BundleStock, material: string | null, nameOf: AccountName): string {
  const left = bundle.holdings.filter(
    ({ account_kind, bud_equivalents }) => AT_HAND.includes(account_kind) && bud_equivalents > 0,
  )
  if (left.length === 0) return 'nothing left'
  return left
    .map((holding) => {
      const account = { kind: holding.account_kind, id: holding.account_id }
      return `${holdingText(material, holding)}, ${nameOf(account)}`
    })
    .join('; ')
}

/** Sticks opened for buds show as what is left, not as two numbers of different sign. */
function holdingText(material: string | null, holding: Holding): string {
  if (holding.buds >= 0) return piecesText(material, holding)
  return `${holding.bud_equivalents} buds left on opened ${pieceWord(material, 2)}`
}

function Tags({ bundle }: { bundle: BundleStock }) {
  if (bundle.tags.length === 0) return <span class="quiet">none</span>
  return (
    <>
      {bundle.tags.map((tag) => (
        <span class={tag.ended_how === null ? 'code' : 'code withdrawn'}>
          {formatTagCode(tag.code)}
          {tag.ended_how === null ? '' : ` (${tag.ended_how})`}{' '}
        </span>
      ))}
    </>
  )
}

/** Double entry: every account, and the sums of nothing (invariant 4). */
export function LotBalance({ detail, lot, nameOf, zone }: Shown) {
  const total = (unit: 'sticks' | 'buds') =>
    detail.balance.reduce((sum, holding) => sum + holding[unit], 0)
  return (
    <section aria-labelledby="books">
      <h2 id="books">Books</h2>
      <p class="hint">
        Every quantity leaves one account and enters another, so all accounts together add up to
        nothing. What came in stands with a minus.
      </p>
      <div class="table">
        <table>
          <caption>All accounts of the lot</caption>
          <thead>
            <tr>
              <th scope="col">Account</th>
              <th scope="col" class="number">
                {pieceWord(lot.material, 2)}
              </th>
              <th scope="col" class="number">
                buds
              </th>
              <th scope="col">Last moved</th>
            </tr>
          </thead>
          <tbody>
            {detail.balance.map((holding) => (
              <tr>
                <td>
                  {accountWords(
                    nameOf({ kind: holding.account_kind, id: holding.account_id }),
                    holding,
                  )}
                </td>
                <td class="number">{holding.sticks}</td>
                <td class="number">{holding.buds}</td>
                <td class="whole">{shownTime(holding.last_moved_at, zone)}</td>
              </tr>
            ))}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row">Together</th>
              <td class="number">{total('sticks')}</td>
              <td class="number">{total('buds')}</td>
              <td />
            </tr>
          </tfoot>
        </table>
      </div>
    </section>
  )
}

function accountWords(name: string, { account_kind }: Holding): string {
  switch (account_kind) {
    case 'source':
      return `cut from ${name}`
    case 'supplier':
      return `from ${name}`
    case 'holder':
      return `with ${name}`
    default:
      return name
  }
}
