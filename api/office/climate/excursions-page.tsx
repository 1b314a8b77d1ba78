// The excursions of the cold store, each with the lots that lay there meanwhile.
import type { Context } from 'hono'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { EXCURSION_LIMIT, readExcursions } from '../../store/excursions.ts'
import type { PlaceExcursion } from '../../store/excursions.ts'
import { readPlaces } from '../../store/places.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { degrees, hourCount } from './words.ts'

const periods = [30, 120, 400] as const
/** Most lots that one line names. */
const SHOWN_LOTS = 40

/** Shows the excursions of the last days that the address asks for. */
export async function showExcursions(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const asked = Number(c.req.query('days') ?? periods[1])
  const days = periods.find((period) => period === asked) ?? periods[1]
  const [zone, places, { policies }] = await Promise.all([
    nurseryTimeZone(db),
    readPlaces(db),
    readPolicies(db, now),
  ])
  const from = new Date(now.getTime() - days * 86_400_000)
  const rules = climateRulesOf(policies)
  const { excursions, more } = await readExcursions(db, rules, places, from, now)
  const pathOf = new Map(places.map(({ placeId, path }) => [placeId, path]))
  const lead =
    `Times above ${degrees(rules.wakingLimitC)} or below ${degrees(rules.frostLimitC)}, ` +
    `from ${shownTime(from, zone)} on, the latest first.`
  return show(
    c,
    <Page
      c={c}
      title="Excursions"
      lead={lead}
      actions={
        <a class="button" href="/store/board">
          Board
        </a>
      }
    >
      <p>
        Show the last{' '}
        {periods.map((period) => (
          <>
            <a href={`/store/excursions?days=${period}`} aria-current={period === days}>
              {period} days
            </a>{' '}
          </>
        ))}
      </p>
      {excursions.length === 0 ? (
        <p class="note">No logger tells of any in this time.</p>
      ) : (
        <ExcursionTable {...{ excursions, pathOf, zone }} />
      )}
      {more ? <p class="hint">The last {EXCURSION_LIMIT} are shown.</p> : null}
    </Page>,
  )
}

function ExcursionTable(props: {
  excursions: PlaceExcursion[]
  pathOf: Map<string, string>
  zone: string
}) {
  return (
    <Table
      caption={`${props.excursions.length} excursions`}
      head={['Place', 'What', 'Began', 'Ended', 'Lasted', 'Peak', 'Logger', 'Lots it touched']}
      numbers={[4, 5]}
    >
      {props.excursions.map((excursion) => {
        const { beganAt, endedAt, lots } = excursion
        return (
          <tr>
            <th scope="row">{props.pathOf.get(excursion.placeId) ?? 'unknown place'}</th>
            <td>{excursion.kind === 'warm' ? 'too warm' : 'frost'}</td>
            <td class="whole">{shownTime(new Date(beganAt), props.zone)}</td>
            <td class="whole">{shownTime(new Date(endedAt), props.zone)}</td>
            <td class="number">{hourCount((endedAt - beganAt) / 3_600_000)}</td>
            <td class="number">{degrees(excursion.peakTempC)}</td>
            <td>
              <a href={`/store/loggers/${excursion.loggerId}`}>{excursion.loggerName}</a>
            </td>
            <td class="touched">
              {lots.length === 0 ? 'none' : null}
              {lots.slice(0, SHOWN_LOTS).map(({ lotId, reference }) => (
                <>
                  <a href={`/store/lots/${lotId}`}>{reference}</a>{' '}
                </>
              ))}
              {lots.length > SHOWN_LOTS ? `and ${lots.length - SHOWN_LOTS} more` : null}
            </td>
          </tr>
        )
      })}
    </Table>
  )
}
