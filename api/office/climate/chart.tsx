// Draws temperature, age, stays and soaks on one axis of time, as SVG without style or script.
import type { Child } from 'hono/jsx'
import type { Reading } from '#trade/climate-sums.ts'
import type { Excursion } from '#trade/excursions.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { shownDay } from '../times.ts'

const width = 1000
const left = 62
const right = 16
const plotWidth = width - left - right
const rowHeight = 22
/** Most points of a line; more readings are drawn by the coldest and warmest of each stretch. */
const POINT_LIMIT = 600

/** A line of readings without a gap between its parts. */
export type ChartLine = { from: number; to: number; readings: readonly Reading[] }
/** A limit drawn across: its value and its name. */
export type ChartLimit = { value: number; name: string }
/** A stretch of time with a name, drawn as a bar. */
export type ChartBar = { from: number; to: number; name: string; wet: boolean }

/** A moment with a name, drawn as a diamond with a line up through the temperatures. */
export type ChartMark = { at: number; name: string }

export type ChartInput = {
  title: string
  fromAt: number
  toAt: number
  zone: string
  maxGapMs: number
  lines: readonly ChartLine[]
  limits: readonly ChartLimit[]
  excursions: readonly Excursion[]
  age: readonly { at: number; ageDays: number }[]
  ageLimits: readonly ChartLimit[]
  bars: readonly ChartBar[]
  marks: readonly ChartMark[]
}

/** The picture; put its numbers in a table beside it. */
export function ClimateChart(input: ChartInput) {
  const x = scale(input.fromAt, input.toAt, left, left + plotWidth)
  const tempTop = 26
  const tempHeight = 210
  const ageTop = tempTop + tempHeight + 34
  const ageHeight = input.age.length > 0 ? 150 : 0
  const barTop = ageTop + ageHeight + (ageHeight > 0 ? 34 : 0)
  const barHeight = (input.bars.length + input.marks.length) * rowHeight
  const height = barTop + barHeight + 40
  return (
    <figure class="chart">
      <svg
        xmlns="http://www.w3.org/2000/svg"
        viewBox={`0 0 ${width} ${height}`}
        width={width}
        height={height}
        role="img"
        aria-label={`${input.title}; its numbers stand in the tables below`}
        font-family="system-ui, 'DejaVu Sans', Arial, sans-serif"
        font-size="12"
        fill="#1d2320"
      >
        <defs>
          <pattern id="excursion" width="6" height="6" patternUnits="userSpaceOnUse">
            <path d="M0 6 L6 0" stroke="#9a3412" stroke-width="1.2" />
          </pattern>
          <pattern id="water" width="8" height="6" patternUnits="userSpaceOnUse">
            <path d="M0 3 Q2 0 4 3 T8 3" fill="none" stroke="#1d4f73" stroke-width="1" />
          </pattern>
        </defs>
        <rect width={width} height={height} fill="#fff" />
        <TimeAxis {...{ input, x, top: tempTop, bottom: barTop + barHeight }} />
        <Temperature {...{ input, x, top: tempTop, height: tempHeight }} />
        {ageHeight > 0 ? <Age {...{ input, x, top: ageTop, height: ageHeight }} /> : null}
        <Bars {...{ input, x, top: barTop }} />
        <Marks {...{ input, x, top: barTop + input.bars.length * rowHeight, upTo: tempTop }} />
      </svg>
    </figure>
  )
}

type Scale = (value: number) => number

function scale(from: number, to: number, start: number, end: number): Scale {
  const length = to - from || 1
  return (value) => start + ((value - from) / length) * (end - start)
}

const round = (value: number) => Math.round(value * 10) / 10

type Panel = { input: ChartInput; x: Scale; top: number; height: number }

function TimeAxis(props: { input: ChartInput; x: Scale; top: number; bottom: number }) {
  const { input, x, top, bottom } = props
  const days = (input.toAt - input.fromAt) / MS_PER_DAY
  const step = [1, 2, 7, 14, 30, 60].find((size) => days / size <= 12) ?? 120
  const first = Math.ceil(input.fromAt / MS_PER_DAY)
  const ticks: Child[] = []
  for (let day = first; day * MS_PER_DAY <= input.toAt; day += step) {
    const at = round(x(day * MS_PER_DAY))
    ticks.push(
      <>
        <path d={`M${at} ${top} V${bottom}`} stroke="#e4dfd2" />
        <text x={at} y={bottom + 18} text-anchor="middle">
          {shownDay(new Date(day * MS_PER_DAY), input.zone).slice(2)}
        </text>
      </>,
    )
  }
  return <g>{ticks}</g>
}

function Temperature({ input, x, top, height }: Panel) {
  const temps = input.lines.flatMap(({ readings }) => readings.map(({ tempC }) => tempC))
  const shown = [...input.limits.map(({ value }) => value).filter((value) => value > -3), 0]
  const low = Math.floor(temps.concat(shown).reduce((one, other) => Math.min(one, other)) - 1)
  const high = Math.ceil(temps.concat(shown).reduce((one, other) => Math.max(one, other)) + 1)
  const y = scale(low, high, top + height, top)
  const limits = input.limits.filter(({ value }) => value >= low && value <= high)
  return (
    <g>
      <text x={left} y={top - 8} font-weight="600">
        Temperature, °C
      </text>
      <Frame {...{ top, height, ticks: niceTicks(low, high), y }} />
      {input.excursions.map((excursion, nr) => (
        <>
          <rect
            x={round(x(excursion.beganAt))}
            y={top}
            width={Math.max(1.5, round(x(excursion.endedAt) - x(excursion.beganAt)))}
            height={height}
            fill="url(#excursion)"
            stroke="#9a3412"
          />
          <text x={round(x(excursion.beganAt)) + 3} y={top + 13} fill="#7c2d12">
            {nr + 1}
          </text>
        </>
      ))}
      {limits.map((limit) => (
        <LimitLine limit={limit} at={round(y(limit.value))} />
      ))}
      {input.lines.map((line) => (
        <path
          d={linePath(line, input.maxGapMs, x, y)}
          fill="none"
          stroke="#14532d"
          stroke-width="1.2"
        />
      ))}
      {temps.length === 0 ? (
        <text x={left + plotWidth / 2} y={top + height / 2} text-anchor="middle">
          no readings
        </text>
      ) : null}
    </g>
  )
}

function Age({ input, x, top, height }: Panel) {
  const oldest = input.age.reduce((most, { ageDays }) => Math.max(most, ageDays), 1)
  const near = input.ageLimits.filter(({ value }) => value < oldest * 2)
  const high = near.reduce((most, { value }) => Math.max(most, value), oldest) * 1.05
  const y = scale(0, high, top + height, top)
  const days = (at: number) => (at - input.fromAt) / MS_PER_DAY
  const path = (of: (point: { at: number; ageDays: number }) => number) =>
    input.age
      .map((point, nr) => `${nr === 0 ? 'M' : 'L'}${round(x(point.at))} ${round(y(of(point)))}`)
      .join(' ')
  return (
    <g>
      <text x={left} y={top - 8} font-weight="600">
        Age, days at the set temperature (whole line) and days by the calendar (dashes)
      </text>
      <Frame {...{ top, height, ticks: niceTicks(0, high), y }} />
      {near.map((limit) => (
        <LimitLine limit={limit} at={round(y(limit.value))} />
      ))}
      <path d={path(({ at }) => days(at))} fill="none" stroke="#55605a" stroke-dasharray="5 4" />
      <path d={path(({ ageDays }) => ageDays)} fill="none" stroke="#14532d" stroke-width="2" />
    </g>
  )
}

function Bars({ input, x, top }: Omit<Panel, 'height'>) {
  return (
    <g>
      {input.bars.map((bar, nr) => {
        const from = Math.max(left, round(x(bar.from)))
        const to = Math.min(left + plotWidth, round(x(bar.to)))
        const isLate = from > left + plotWidth * 0.6
        return (
          <>
            <rect
              x={from}
              y={top + nr * rowHeight}
              width={Math.max(2, to - from)}
              height={15}
              fill={bar.wet ? 'url(#water)' : '#efe9da'}
              stroke="#55605a"
            />
            <text
              x={isLate ? from - 5 : from + 5}
              y={top + nr * rowHeight + 12}
              text-anchor={isLate ? 'end' : 'start'}
            >
              {bar.name}
            </text>
          </>
        )
      })}
    </g>
  )
}

/** One row for each mark. */
function Marks({ input, x, top, upTo }: Omit<Panel, 'height'> & { upTo: number }) {
  return (
    <g>
      {input.marks.map(({ at, name }, nr) => {
        const middle = round(x(Math.min(Math.max(at, input.fromAt), input.toAt)))
        const y = top + nr * rowHeight + 8
        const isLate = middle > left + plotWidth * 0.6
        return (
          <>
            <path d={`M${middle} ${upTo} V${y}`} stroke="#4a2a66" stroke-dasharray="1 3" />
            <path d={`M${middle} ${y - 6} l6 6 l-6 6 l-6 -6 z`} fill="#4a2a66" />
            <text
              x={isLate ? middle - 10 : middle + 10}
              y={y + 4}
              text-anchor={isLate ? 'end' : 'start'}
            >
              {name}
            </text>
          </>
        )
      })}
    </g>
  )
}

function Frame(props: { top: number; height: number; ticks: number[]; y: Scale }) {
  const { top, height, ticks, y } = props
  return (
    <g>
      <rect x={left} y={top} width={plotWidth} height={height} fill="none" stroke="#b8b09d" />
      {ticks.map((tick) => (
        <text x={left - 7} y={round(y(tick)) + 4} text-anchor="end">
          {tick}
        </text>
      ))}
    </g>
  )
}

function LimitLine({ limit, at }: { limit: ChartLimit; at: number }) {
  return (
    <g>
      <path d={`M${left} ${at} H${left + plotWidth}`} stroke="#7c2d12" stroke-dasharray="2 3" />
      <text x={left + plotWidth - 4} y={at - 3} text-anchor="end" fill="#7c2d12">
        {limit.name} {limit.value}
      </text>
    </g>
  )
}

function niceTicks(low: number, high: number): number[] {
  const step = [1, 2, 5, 10, 20, 50, 100, 200].find((size) => (high - low) / size <= 7) ?? 500
  const ticks: number[] = []
  for (let tick = Math.ceil(low / step) * step; tick <= high; tick += step) ticks.push(tick)
  return ticks
}

/** A path with a break at every gap; where readings are many, each stretch's extremes. */
function linePath(line: ChartLine, maxGapMs: number, x: Scale, y: Scale): string {
  let path = ''
  let before = Number.NEGATIVE_INFINITY
  for (const { at, tempC } of thinned(line.readings)) {
    path += `${at - before > Math.max(maxGapMs, 2 * stretchOf(line)) ? 'M' : 'L'}`
    path += `${round(x(at))} ${round(y(tempC))}`
    before = at
  }
  return path
}

function stretchOf({ readings }: ChartLine): number {
  const [first, last] = [readings[0], readings.at(-1)]
  if (first === undefined || last === undefined || readings.length <= POINT_LIMIT) return 0
  return (last.at - first.at) / (POINT_LIMIT / 2) + MS_PER_HOUR / 60
}

function thinned(readings: readonly Reading[]): Reading[] {
  if (readings.length <= POINT_LIMIT) return [...readings]
  const size = Math.ceil(readings.length / (POINT_LIMIT / 2))
  const points: Reading[] = []
  for (let at = 0; at < readings.length; at += size) {
    const stretch = readings.slice(at, at + size).toSorted((one, other) => one.tempC - other.tempC)
    const ends = [stretch[0], stretch.at(-1)].flatMap((one) => one ?? [])
    points.push(...ends.toSorted((one, other) => one.at - other.at))
  }
  return points
}
