// One block: its map, the number of vines in each state by row, its take, its plans.
import type { Context } from 'hono'
import { raw } from 'hono/html'
import type { Child } from 'hono/jsx'
import { seasonsIn } from '../../grafting/season.ts'
import { readBlockVines } from '../../grafting/read.ts'
import type { RowReading } from '../../grafting/read.ts'
import { takeOf } from '../../grafting/vine-attempts.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { canTell } from '../exchange/can-tell.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { BLOCK_MAP_PLACE_LIMIT, blockMapSheets, placeCount } from '../pictures/block-map-layout.ts'
import { blockMapTable } from '../pictures/block-map-table.tsx'
import type { BlockMapBlock } from '../pictures/block-map-vines.ts'
import { blockMapSvg } from '../pictures/block-map.ts'
import { Saved } from '../saved.tsx'
import { requiredBlock } from './list.tsx'
import { mapOfBlock } from './map-of-block.ts'
import { SeasonChoice, seasonAsked } from './season-choice.tsx'
import { TakeTable } from './take-table.tsx'

/** Shows the block in the address. */
export async function showBlock(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const block = await requiredBlock(c)
  const season = seasonAsked(c.req.query('season'))
  const readings = await readBlockVines(db, block.block_id, season)
  const [zone, { policies }] = [await nurseryTimeZone(db), await readPolicies(db, clock.now())]
  const path = `/blocks/${block.block_id}`
  const isTold = await canTell(c)
  const map = mapOfBlock(block.name, readings, zone)
  const seasons = [...new Set(readings.flatMap((reading) => reading.seasons))].sort(
    (one, other) => other - one,
  )
  return show(
    c,
    <Page
      c={c}
      title={block.name}
      lead={block.note}
      actions={<Actions path={path} isTold={isTold} />}
    >
      <Saved c={c} />
      {readings.length === 0 ? (
        <p class="note">
          The block has no rows yet. Read them from a spreadsheet, or add them by hand.
        </p>
      ) : (
        <>
          <SeasonChoice path={path} seasons={seasons} season={season} />
          <BlockMap c={c} map={map} path={path} season={season} />
          {blockMapTable({ block: map, rowHref, vineHref })}
          <BlockTake
            readings={readings}
            season={season ?? graftedSeason(readings, zone)}
            zone={zone}
            wanted={policies.takeInsufficientShare}
          />
        </>
      )}
    </Page>,
  )
}

const rowHref = (rowId: string) => `/blocks/rows/${rowId}`
const vineHref = (rowId: string, position: number) => `/blocks/vines/${rowId}/${position}`

function Actions({ path, isTold }: { path: string; isTold: boolean }) {
  return (
    <>
      <a class="button main" href={`${path}/plan`}>
        Plan grafting
      </a>
      <a class="button" href={`${path}/import`}>
        Read rows from a file
      </a>
      <a class="button" href={`${path}/rows/new`}>
        Add rows
      </a>
      <a class="button" href={`${path}/rows.csv`}>
        Rows as CSV
      </a>
      <a class="button" href={path.replace('/blocks/', '/dossier/block/')}>
        Dossier
      </a>
      {isTold ? (
        <a class="button" href={path.replace('/blocks/', '/exchange/block/')}>
          For other programs
        </a>
      ) : null}
      <a class="button" href={`${path}/edit`}>
        Correct
      </a>
    </>
  )
}

/** The map, in sheets when it would be too large for one picture. */
function BlockMap(props: {
  c: Context<Env>
  map: BlockMapBlock
  path: string
  season: number | null
}) {
  const { c, map } = props
  if (placeCount(map) <= BLOCK_MAP_PLACE_LIMIT) {
    return <figure class="map">{drawn(blockMapSvg(map, { rowHref, vineHref }))}</figure>
  }
  const sheets = blockMapSheets(map)
  const asked = Math.trunc(Number(c.req.query('sheet') ?? 1)) || 1
  const number = Math.min(sheets.length, Math.max(1, asked))
  const sheet = sheets[number - 1]
  if (sheet === undefined) return null
  const query = props.season === null ? '?' : `?season=${props.season}&`
  return (
    <>
      <p>
        Part {number} of {sheets.length}.{' '}
        {number > 1 ? <a href={`${props.path}${query}sheet=${number - 1}`}>Before</a> : null}{' '}
        {number < sheets.length ? (
          <a href={`${props.path}${query}sheet=${number + 1}`}>Next part</a>
        ) : null}
      </p>
      <figure class="map">{drawn(blockMapSvg(map, { rowHref, vineHref, sheet }))}</figure>
    </>
  )
}

/** The picture escapes every text in it. */
function drawn(svg: string): Child {
  return raw(svg)
}

function BlockTake(props: {
  readings: RowReading[]
  season: number | null
  zone: string
  wanted: Parameters<typeof TakeTable>[0]['wanted']
}) {
  const { readings, season } = props
  if (season === null) return null
  const seasonOf = seasonsIn(props.zone)
  const rows = readings.map(({ facts, records }) => ({
    name: facts.row.label,
    href: rowHref(facts.row.row_id),
    take: takeOf(records, season, seasonOf),
  }))
  const all = takeOf(
    readings.flatMap((reading) => reading.records),
    season,
    seasonOf,
  )
  return <TakeTable season={season} rows={rows} all={all} wanted={props.wanted} />
}

/** The latest season in which a vine of the rows was grafted. */
export function graftedSeason(readings: readonly RowReading[], zone: string): number | null {
  const seasonOf = seasonsIn(zone)
  const latest = readings.reduce(
    (most, { facts }) =>
      facts.grafts.reduce((season, graft) => Math.max(season, seasonOf(graft.grafted_at)), most),
    0,
  )
  return latest === 0 ? null : latest
}
