// The cold-store board: how the rooms are now, and the lots in the order in which to use them.
import type { Context } from 'hono'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { judge } from '#trade/judge.ts'
import type { LotFacts } from '#trade/lot-facts.ts'
import type { Policies } from '#trade/policies.ts'
import { forecastStorage, useFirst } from '#trade/storage-forecast.ts'
import type { ForecastLimit, StorageForecast } from '#trade/storage-forecast.ts'
import { thermalAgeDays } from '#trade/thermal-facts.ts'
import { readLotFacts } from '../../lots/lot-facts.ts'
import { piecesText } from '../../lots/pieces.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readPlaces } from '../../store/places.ts'
import { POSITION_PAGE, readPositions } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { readRoomsNow } from '../../store/rooms-now.ts'
import type { RoomLogger } from '../../store/rooms-now.ts'
import { show } from '../form-page.tsx'
import { Page, Table, VerdictMark } from '../layout.tsx'
import { daysBetween, shownDay, shownTime } from '../times.ts'
import { causeWords, dayCount, degrees, percent } from './words.ts'

/** One lot in one place. */
type Line = {
  lotId: string
  positions: WoodPosition[]
  facts: LotFacts
  forecast: StorageForecast | null
}

/** Shows the board. */
export async function showBoard(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const [zone, places, { policies }, stock] = await Promise.all([
    nurseryTimeZone(db),
    readPlaces(db),
    readPolicies(db, now),
    nurseryTimeZone(db).then((of) => readPositions(db, of, { kinds: ['place'] })),
  ])
  const rooms = await readRoomsNow(db, climateRulesOf(policies), now)
  const lotIds = [...new Set(stock.positions.map(({ lotId }) => lotId))]
  const facts = await readLotFacts(db, lotIds, now)
  const lines = lotIds
    .flatMap((lotId): Line[] => {
      const lot = facts.get(lotId)
      if (lot === undefined) return []
      const positions = stock.positions.filter((position) => position.lotId === lotId)
      const forecast = lot.known ? forecastStorage(lot, policies, now.getTime()) : null
      return [{ lotId, positions, facts: lot, forecast }]
    })
    .sort((one, other) => useFirst(one.forecast, other.forecast))
  const pathOf = new Map(places.map(({ placeId, path }) => [placeId, path]))
  return show(
    c,
    <Page
      c={c}
      title="Cold-store board"
      lead="How the rooms are now, and the wood in the order in which to use it."
      actions={<BoardActions />}
    >
      <Rooms {...{ rooms, pathOf, zone, policies, now }} />
      <Lots {...{ lines, policies, now, zone }} />
      {stock.more ? <p class="hint">The first {POSITION_PAGE} lots are shown.</p> : null}
    </Page>,
  )
}

function BoardActions() {
  return (
    <>
      <a class="button" href="/store">
        What lies where
      </a>
      <a class="button" href="/store/excursions">
        Excursions
      </a>
      <a class="button" href="/store/loggers">
        Loggers
      </a>
    </>
  )
}

type RoomsProps = {
  rooms: RoomLogger[]
  pathOf: Map<string, string>
  zone: string
  policies: Policies
  now: Date
}

function Rooms({ rooms, pathOf, zone, policies, now }: RoomsProps) {
  if (rooms.length === 0) {
    return (
      <p class="note">
        No logger stands in any place: the age of wood is counted by the calendar alone.{' '}
        <a href="/store/loggers">Register a logger</a>.
      </p>
    )
  }
  return (
    <Table
      caption="Rooms now"
      head={[
        'Place',
        'State',
        'Now',
        'Humidity',
        'Read at',
        'Day’s mean',
        'Week: least, most',
        'Logger',
      ]}
      numbers={[2, 3, 5]}
    >
      {rooms.map((room) => (
        <tr>
          <th scope="row">{pathOf.get(room.placeId) ?? 'a place nobody registered'}</th>
          <td>{roomState(room, policies, now)}</td>
          <td class="number">{degrees(room.last?.tempC ?? null)}</td>
          <td class="number">{percent(room.last?.humidityPercent ?? null)}</td>
          <td>{room.last === null ? 'never' : shownTime(new Date(room.last.at), zone)}</td>
          <td class="number">{degrees(meanOfDay(room))}</td>
          <td>
            {degrees(room.week.lowestTempC)}, {degrees(room.week.highestTempC)}
          </td>
          <td>
            <a href={`/store/loggers/${room.loggerId}`}>{room.loggerName}</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

function meanOfDay({ day }: RoomLogger): number | null {
  if (day === null || day.sums.measuredHours <= 0) return null
  return day.sums.tempHours / day.sums.measuredHours
}

function roomState(room: RoomLogger, policies: Policies, now: Date): string {
  if (room.last === null) return 'no reading yet'
  const silentHours = (now.getTime() - room.last.at) / 3_600_000
  if (silentHours > policies.readingsSilentHours.value) return 'silent: read the logger'
  if (room.last.tempC > policies.wakingLimitC.value) return 'too warm'
  if (room.last.tempC < policies.frostLimitC.value) return 'frost'
  return 'as it should be'
}

function Lots(props: { lines: Line[]; policies: Policies; now: Date; zone: string }) {
  const { lines, policies, now, zone } = props
  if (lines.length === 0) return <p class="note">No wood lies in any place.</p>
  const set = degrees(policies.storageSetTempC.value)
  const head = ['Lot', 'Variety', 'Where', 'There', 'Days since cut', `Aged like, at ${set}`]
  return (
    <>
      <Table
        caption="What to use first"
        head={[...head, 'Verdict', 'Caution from', 'Stop from', 'Assumed']}
        numbers={[4, 5]}
      >
        {lines.map((line) => (
          <LotLine {...{ line, policies, now, zone }} />
        ))}
      </Table>
      <p class="hint">
        The dates hold if each room stays at the mean of its last 24 hours of readings. Where no
        reading tells, calendar days count. “Aged like” is worked out with Q10{' '}
        {policies.thermalQ10.value}: {policies.thermalQ10.source}.{' '}
        <a href="/nursery/policies">All limits and their sources</a>
      </p>
    </>
  )
}

function LotLine(props: { line: Line; policies: Policies; now: Date; zone: string }) {
  const { line, policies, now, zone } = props
  const { facts, forecast, positions } = line
  const [first] = positions
  const where = [...new Set(positions.map(({ accountName }) => accountName))].join(', ')
  const cutAt = facts.known ? facts.cutAt : null
  const thermal = facts.known ? (facts.thermal ?? null) : null
  return (
    <tr>
      <th scope="row" class="whole">
        <a href={`/store/lots/${line.lotId}`}>{first?.reference ?? 'unknown'}</a>
      </th>
      <td>{[first?.variety ?? 'unknown', first?.clone ?? ''].join(' ')}</td>
      <td>{where}</td>
      <td class="whole">{positions.length === 0 ? '' : thereText(positions)}</td>
      <td class="number">{cutAt === null ? '–' : daysBetween(new Date(cutAt), now)}</td>
      <td class="number">
        {thermal === null
          ? 'no readings'
          : `${dayCount(thermalAgeDays(thermal, now.getTime()))} days`}
      </td>
      <td>
        <VerdictMark verdict={judge(facts, policies, now.getTime()).verdict} />
      </td>
      <td>{limitText(forecast?.caution ?? null, now, zone)}</td>
      <td>{limitText(forecast?.stop ?? null, now, zone)}</td>
      <td>{assumedText(forecast)}</td>
    </tr>
  )
}

function assumedText(forecast: StorageForecast | null): string {
  const tempC = forecast?.assumedTempC ?? null
  return tempC === null ? 'calendar' : degrees(tempC)
}

function thereText(positions: readonly WoodPosition[]): string {
  const sum = (of: (position: WoodPosition) => number) =>
    positions.reduce((total, position) => total + of(position), 0)
  const material = positions[0]?.material ?? 'scion wood'
  return piecesText(material, { sticks: sum((one) => one.sticks), buds: sum((one) => one.buds) })
}

/** The day of a limit and its cause; `now` when it is reached. */
export function limitText(limit: ForecastLimit | null, now: Date, zone: string): string {
  if (limit === null) return '–'
  if (limit.at <= now.getTime()) return `now, ${causeWords[limit.cause]}`
  const tenYears = now.getTime() + 3650 * 86_400_000
  if (limit.at > tenYears) return 'not within ten years'
  return `${shownDay(new Date(limit.at), zone)}, ${causeWords[limit.cause]}`
}
