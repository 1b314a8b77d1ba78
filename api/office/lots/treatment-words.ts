// Tells in one sentence what was done to wood against pests and disease.
import { longestAtOrAbove } from '#trade/hot-water.ts'
import type { HotWaterRun } from '#trade/hot-water.ts'
import type { Entry } from '#wire/entry.ts'

/** The sentence for a treatment. */
export function treatmentWords({ body }: Entry<'treatment.done'>): string {
  const { done, note } = body
  const told = note === '' ? '' : `: ${note}`
  if (done.treatment === 'hot water') {
    return `Hot water, ${runWords(done.run)}, against ${done.purposes.join(', ')}${told}`
  }
  const { concentration, dose, minutes, product } = done
  const parts = [
    `${done.treatment[0]?.toUpperCase() ?? ''}${done.treatment.slice(1)}: ${product}`,
    ...(concentration === null ? [] : [`${concentration.value} ${concentration.unit}`]),
    ...(dose === null ? [] : [dose]),
    ...(minutes === null ? [] : [`${minutes} min`]),
  ]
  return `${parts.join(', ')}${told}`
}

/** Like `set to 50 °C for 45 min`, or the range measured and the time held at 50 °C. */
export function runWords(run: HotWaterRun): string {
  if (run.by === 'set point') return `set to ${run.tempC} °C for ${run.minutes} min`
  const temps = run.readings.map(({ tempC }) => tempC)
  const held = longestAtOrAbove(run, 50)
  return (
    `measured ${run.readings.length} times from ${Math.min(...temps)} to ` +
    `${Math.max(...temps)} °C, unbroken at 50 °C or above for ${Number(held.toFixed(1))} min`
  )
}
