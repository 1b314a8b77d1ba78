// The cold store: what lies where, how long, whether it may be used, and what is elsewhere.
import type { Context } from 'hono'
import type { Judgement } from '#trade/judge.ts'
import { judgeLots } from '../../lots/judge-lots.ts'
import { piecesText } from '../../lots/pieces.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readStandingBaths } from '../../store/baths.ts'
import { readElsewhere, readPlaceStock } from '../../store/place-stock.ts'
import type { PlaceStock } from '../../store/place-stock.ts'
import { isCooled, placesWithin, readPlaces } from '../../store/places.ts'
import type { PlaceInTree } from '../../store/places.ts'
import { POSITION_PAGE, readPositions } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { Saved } from '../saved.tsx'
import { daysBetween, shownDay } from '../times.ts'

/** What the address may ask for instead of a place. */
const UNKNOWN = 'unknown'

/** Shows all places, or one place with everything inside it. */
export async function showStore(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const zone = await nurseryTimeZone(db)
  const places = await readPlaces(db)
  const asked = c.req.query('place') ?? ''
  const place = places.find(({ placeId }) => placeId === asked) ?? null
  const filter =
    asked === UNKNOWN
      ? { kinds: ['unknown'] as const }
      : {
          kinds: ['place'] as const,
          ...(place === null ? {} : { accountIds: [...placesWithin(places, place.placeId)] }),
        }
  const { positions, more } = await readPositions(db, zone, filter)
  const lotIds = positions.map(({ lotId }) => lotId)
  const [baths, stock, elsewhere, verdicts, cutAt] = await Promise.all([
    readStandingBaths(db),
    readPlaceStock(db, places),
    readElsewhere(db),
    judgeLots(db, lotIds, now),
    readMadeAt(c, lotIds),
  ])
  const title =
    asked === UNKNOWN ? 'Wood whose place is not recorded' : (place?.path ?? 'Cold store')
  const filled = new Set(baths.map(({ tankId }) => tankId))
  const move = place === null ? '/store/move' : `/store/move?place=${place.placeId}`
  return show(
    c,
    <Page c={c} title={title} lead={leadOf(place, places)} actions={<Actions move={move} />}>
      <Saved c={c} />
      {place === null && asked !== UNKNOWN ? (
        <div class="halves">
          <PlaceTable places={places} stock={stock} filled={filled} />
          <Elsewhere elsewhere={elsewhere} />
        </div>
      ) : (
        <p>
          <a href="/store">All places</a>
        </p>
      )}
      <Lying {...{ positions, more, verdicts, cutAt, now, zone }} />
    </Page>,
  )
}

function leadOf(place: PlaceInTree | null, places: PlaceInTree[]): string {
  if (place === null) return 'What lies where, by room, rack and bin.'
  const kind = isCooled(places, place.placeId) ? `${place.placeKind}, cooled` : place.placeKind
  return place.note === '' ? kind : `${kind}. ${place.note}`
}

function Actions({ move }: { move: string }) {
  return (
    <>
      <a class="button main" href={move}>
        Move wood
      </a>
      <a class="button" href="/store/board">
        Board
      </a>
      <a class="button" href="/store/register">
        Register a place
      </a>
    </>
  )
}

/** When each lot was cut, received, parted or combined. */
async function readMadeAt(c: Context<Env>, lotIds: string[]): Promise<Map<string, Date>> {
  if (lotIds.length === 0) return new Map()
  const rows = await c
    .get('services')
    .db.selectFrom('lot')
    .select(['lot_id', 'occurred_at'])
    .where('lot_id', 'in', [...new Set(lotIds)])
    .orderBy('occurred_at', 'desc')
    .execute()
  return new Map(rows.map((row) => [row.lot_id, row.occurred_at]))
}

function PlaceTable(props: {
  places: PlaceInTree[]
  stock: Map<string, PlaceStock>
  /** Tanks that a bath stands in. */
  filled: ReadonlySet<string>
}) {
  if (props.places.length === 0) {
    return <p class="note">No place is registered yet. Register a room, then its racks and bins.</p>
  }
  return (
    <Table
      caption="Places, each with what is inside it"
      head={['Place', 'Kind', 'Cooled', 'Lots', 'Sticks', 'Buds']}
      numbers={[3, 4, 5]}
    >
      {props.places.map((place) => {
        const stock = props.stock.get(place.placeId) ?? { lots: 0, sticks: 0, buds: 0 }
        return (
          <tr>
            <td class={`depth-${Math.min(place.depth, 6)}`}>
              <a href={`/store?place=${place.placeId}`}>{place.name}</a>
            </td>
            <td>{place.placeKind}</td>
            <td>{isCooled(props.places, place.placeId) ? 'yes' : 'no'}</td>
            {stock.lots === 0 ? (
              <td colspan={3} class="quiet">
                {props.filled.has(place.placeId) ? 'a bath stands in it' : 'empty'}
              </td>
            ) : (
              <>
                <td class="number">{stock.lots}</td>
                <td class="number">{stock.sticks}</td>
                <td class="number">{stock.buds}</td>
              </>
            )}
          </tr>
        )
      })}
    </Table>
  )
}

function Elsewhere(props: { elsewhere: Awaited<ReturnType<typeof readElsewhere>> }) {
  const lines = [
    ['bath', '/soak', 'In water'],
    ['holder', '/custody', 'With crews and people'],
    ['unknown', '/store?place=unknown', 'Place not recorded'],
  ] as const
  return (
    <Table
      caption="What is elsewhere"
      head={['Where', 'Lots', 'Sticks', 'Buds']}
      numbers={[1, 2, 3]}
    >
      {lines.map(([kind, href, label]) => {
        const { lots, sticks, buds } = props.elsewhere[kind]
        return (
          <tr>
            <td>
              <a href={href}>{label}</a>
            </td>
            <td class="number">{lots}</td>
            <td class="number">{sticks}</td>
            <td class="number">{buds}</td>
          </tr>
        )
      })}
    </Table>
  )
}

function Lying(props: {
  positions: WoodPosition[]
  more: boolean
  verdicts: Map<string, Judgement>
  cutAt: Map<string, Date>
  now: Date
  zone: string
}) {
  const { positions, now, zone } = props
  if (positions.length === 0) return <p class="note">Nothing lies here.</p>
  const head = ['Lot', 'Bundle', 'Variety', 'Where', 'There', 'Days here', 'Lot made', 'Verdict']
  return (
    <>
      <Table caption={`${positions.length} portions of wood`} head={head} numbers={[5]}>
        {positions.map((position) => {
          const verdict = props.verdicts.get(position.lotId)
          const made = props.cutAt.get(position.lotId)
          return (
            <tr>
              <td class="whole">
                <a href={`/lots/${position.lotId}`}>{position.reference}</a>
              </td>
              <td>{position.bundleNumber === null ? 'loose' : position.bundleNumber}</td>
              <td>{[position.variety ?? 'unknown', position.clone ?? ''].join(' ')}</td>
              <td>{position.accountName}</td>
              <td class="whole">{piecesText(position.material, position)}</td>
              <td class="number">{daysBetween(position.firstAt, now)}</td>
              <td class="whole">{made === undefined ? '' : shownDay(made, zone)}</td>
              <td>{verdict === undefined ? '' : <VerdictMark verdict={verdict.verdict} />}</td>
            </tr>
          )
        })}
      </Table>
      {props.more ? (
        <p class="hint">
          The first {POSITION_PAGE} lots are shown. Choose a place to see the rest.
        </p>
      ) : null}
    </>
  )
}
