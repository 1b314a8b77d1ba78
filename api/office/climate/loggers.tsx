// The loggers: which there are, where each stood, what it read and what looks wrong in it.
import type { Context } from 'hono'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { excursionsOf } from '#trade/excursions.ts'
import { MS_PER_DAY, MS_PER_MINUTE } from '#trade/intervals.ts'
import { flagsOf } from '#trade/reading-flags.ts'
import type { ReadingFlag } from '#trade/reading-flags.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { placeAt, readLogger, readLoggers } from '../../store/loggers.ts'
import type { Logger } from '../../store/loggers.ts'
import { readPlaces } from '../../store/places.ts'
import { readLastReadings, readReadings } from '../../store/readings.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { ClimateChart } from './chart.tsx'
import { degrees, flagWords, hourCount } from './words.ts'

/** Most doubts that are listed. */
const SHOWN_FLAGS = 200
const periods = [14, 60, 200] as const

/** Lists the loggers. */
export async function showLoggers(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const [zone, places, loggers] = await Promise.all([
    nurseryTimeZone(db),
    readPlaces(db),
    readLoggers(db),
  ])
  const ids = loggers.map(({ loggerId }) => loggerId)
  const last = await readLastReadings(db, ids, now)
  const pathOf = new Map(places.map(({ placeId, path }) => [placeId, path]))
  const register = (
    <a class="button main" href="/store/loggers/new">
      Register a logger
    </a>
  )
  return show(
    c,
    <Page
      c={c}
      title="Loggers"
      lead="What measures temperature and humidity, and where it stands."
      actions={register}
    >
      <Saved c={c} />
      {loggers.length === 0 ? (
        <p class="note">None yet. Register the first, then read in its file.</p>
      ) : (
        <Table
          caption={`${loggers.length} loggers`}
          head={['Logger', 'Serial number', 'Stands in', 'Last reading', 'Read at', 'File']}
          numbers={[3]}
        >
          {loggers.map((logger) => {
            const place = placeAt(logger, now.getTime())
            const reading = last.get(logger.loggerId)
            return (
              <tr>
                <th scope="row">
                  <a href={`/store/loggers/${logger.loggerId}`}>{logger.name}</a>
                </th>
                <td>{logger.serial ?? ''}</td>
                <td>{place === null ? 'no place' : (pathOf.get(place) ?? 'unknown place')}</td>
                <td class="number">{degrees(reading?.tempC ?? null)}</td>
                <td>{reading === undefined ? 'never' : shownTime(new Date(reading.at), zone)}</td>
                <td>
                  <a href={`/store/loggers/${logger.loggerId}/import`}>Read a file in</a>
                </td>
              </tr>
            )
          })}
        </Table>
      )}
    </Page>,
  )
}

/** The logger that the address names. */
export async function requiredLogger(c: Context<Env>): Promise<Logger> {
  const logger = await readLogger(c.get('services').db, c.req.param('loggerId') ?? '')
  return logger ?? refuse('not_found', 'there is no such logger', { status: 404 })
}

/** Shows one logger: its last weeks as a picture, its doubts and its places. */
export async function showLogger(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const logger = await requiredLogger(c)
  const asked = Number(c.req.query('days') ?? periods[0])
  const days = periods.find((period) => period === asked) ?? periods[0]
  const [zone, places, { policies }, last] = await Promise.all([
    nurseryTimeZone(db),
    readPlaces(db),
    readPolicies(db, clock.now()),
    readLastReadings(db, [logger.loggerId], clock.now()),
  ])
  const rules = climateRulesOf(policies)
  const toAt = last.get(logger.loggerId)?.at ?? clock.now().getTime()
  const fromAt = toAt - days * MS_PER_DAY
  const readings = await readReadings(db, logger.loggerId, fromAt, toAt)
  const excursions = excursionsOf(readings, rules, fromAt, toAt)
  const flags = flagsOf(readings, rules.maxGapMinutes)
  const pathOf = new Map(places.map(({ placeId, path }) => [placeId, path]))
  return show(
    c,
    <Page
      c={c}
      title={`Logger ${logger.name}`}
      lead={`${readings.length} readings in the ${days} days up to its last one.`}
      actions={<LoggerActions logger={logger} />}
    >
      <Saved c={c} />
      <p>
        {periods.map((period) => (
          <>
            <a href={`/store/loggers/${logger.loggerId}?days=${period}`}>{period} days</a>{' '}
          </>
        ))}
      </p>
      <ClimateChart
        {...{ title: `Logger ${logger.name}`, fromAt, toAt, zone, excursions }}
        maxGapMs={rules.maxGapMinutes * MS_PER_MINUTE}
        lines={[{ from: fromAt, to: toAt, readings }]}
        limits={[
          { value: rules.wakingLimitC, name: 'waking' },
          { value: rules.frostLimitC, name: 'frost' },
        ]}
        age={[]}
        ageLimits={[]}
        bars={[]}
        marks={[]}
      />
      <FlagTable flags={flags} zone={zone} />
      <StandingTable logger={logger} pathOf={pathOf} zone={zone} />
    </Page>,
  )
}

function LoggerActions({ logger }: { logger: Logger }) {
  const base = `/store/loggers/${logger.loggerId}`
  return (
    <>
      <a class="button main" href={`${base}/import`}>
        Read a file in
      </a>
      <a class="button" href={`${base}/move`}>
        Move or correct
      </a>
      <a class="button" href="/store/loggers">
        All loggers
      </a>
    </>
  )
}

/** What looks wrong: flagged, never smoothed. */
export function FlagTable({ flags, zone }: { flags: ReadingFlag[]; zone: string }) {
  if (flags.length === 0) return <p class="note">Nothing in these readings looks wrong.</p>
  return (
    <>
      <Table
        caption={`${flags.length} doubts about these readings; they count as they are`}
        head={['From', 'Until', 'Lasted', 'Value', 'What looks wrong']}
        numbers={[2, 3]}
      >
        {flags.slice(0, SHOWN_FLAGS).map(({ code, fromAt, toAt, tempC }) => (
          <tr>
            <td>{shownTime(new Date(fromAt), zone)}</td>
            <td>{shownTime(new Date(toAt), zone)}</td>
            <td class="number">{hourCount((toAt - fromAt) / 3_600_000)}</td>
            <td class="number">{code === 'gap' ? '' : degrees(tempC)}</td>
            <td>{flagWords[code]}</td>
          </tr>
        ))}
      </Table>
      {flags.length > SHOWN_FLAGS ? <p class="hint">The first {SHOWN_FLAGS} are shown.</p> : null}
    </>
  )
}

function StandingTable(props: { logger: Logger; pathOf: Map<string, string>; zone: string }) {
  const { logger, pathOf, zone } = props
  if (logger.standings.length === 0) return <p class="note">It never stood in any place.</p>
  return (
    <Table caption="Where it stood" head={['Place', 'From', 'Until']}>
      {logger.standings.map(({ placeId, fromAt, untilAt }) => (
        <tr>
          <th scope="row">{pathOf.get(placeId) ?? 'unknown place'}</th>
          <td>{shownTime(new Date(fromAt), zone)}</td>
          <td>{untilAt === null ? 'still there' : shownTime(new Date(untilAt), zone)}</td>
        </tr>
      ))}
    </Table>
  )
}
