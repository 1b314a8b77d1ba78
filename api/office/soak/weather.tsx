// The weather that dries wood: readings entered or pasted, and how long wood may stay out today.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { outOfWaterLimits } from '#trade/drying.ts'
import { vapourPressureDeficitKPa } from '#trade/psychrometrics.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readDryingAir, readWeather, WEATHER_PAGE } from '../../store/weather.ts'
import type { WeatherLine } from '../../store/weather.ts'
import { readWeatherText } from '../../store/weather-text.ts'
import type { WeatherTyped } from '../../store/weather-text.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, show, submit, TextField } from '../form-page.tsx'
import { WhenField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { PolicySources } from '../lots/lot-judgement.tsx'
import { afterSaving, Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { typedNameOrNull } from '../typed-text.ts'

/** Shows the readings and the form. */
export async function showWeather(c: Context<Env>) {
  return show(c, await weatherPage(c, freshForm()))
}

/** Saves readings, or shows the form again. */
export function saveWeather(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => weatherPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const now = clock.now()
  const readings = readTyped(form, zone, now)
  const site = typedNameOrNull(form, 'site', 'Where it was read')
  form.check()
  const body = {
    placeId: null,
    site,
    readings: readings.map(({ at, ...reading }) => ({
      at: new Date(at).toISOString(),
      ...reading,
    })),
  }
  const draft = { kind: 'weather.logged' as const, body, occurredAt: now }
  const ids = await recordAtDesk(db, deskOf(c), [draft])
  return afterSaving('/soak/weather', ids.length)
}

/** The lines pasted, else the one reading typed into the fields. */
function readTyped(form: FormReader, zone: string, now: Date): WeatherTyped[] {
  const text = form.values.lines?.[0] ?? ''
  if (text.trim() !== '') {
    if (form.raw('tempC') !== '' || form.raw('humidity') !== '') {
      form.problem('tempC', 'give one reading or lines, not both')
    }
    const read = readWeatherText(text, zone, now)
    if (read.ok) return read.readings
    form.problem('lines', `${read.problems.join('; ')}. Nothing was taken`)
    return []
  }
  const tempC = form.optionalNumber('tempC', 'Temperature', -60, 60)
  const humidityPercent = form.optionalNumber('humidity', 'Humidity', 0, 100)
  const windMetresPerSecond = form.optionalNumber('wind', 'Wind', 0, 100)
  const at = form.when('when', 'Read', zone, now).getTime()
  if (form.raw('tempC') === '') form.problem('tempC', 'Temperature is needed')
  if (form.raw('humidity') === '') form.problem('humidity', 'Humidity is needed')
  if (tempC === null || humidityPercent === null) return []
  return [{ at, tempC, humidityPercent, windMetresPerSecond }]
}

async function weatherPage(c: Context<Env>, form: FormState): Promise<Child> {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const [zone, readings, air, { policies }] = await Promise.all([
    nurseryTimeZone(db),
    readWeather(db),
    readDryingAir(db, now),
    readPolicies(db, now),
  ])
  const limits = outOfWaterLimits(policies, air, now.getTime())
  return (
    <Page
      c={c}
      title="Weather"
      lead="How strongly the air dries decides how long wood may stay out of water."
    >
      <Saved c={c} />
      <p class={limits.vpdKPa === null ? 'care' : 'note'}>
        {limits.vpdKPa === null
          ? 'Nothing was read in the last 24 hours: the hours out of water are not shortened. '
          : `Drying power, the most of the last 24 hours: ${limits.vpdKPa} kPa. `}
        Out of water and out of the cold, caution after {limits.cautionHours} h and stop after{' '}
        {limits.maxHours} h.
      </p>
      <PolicySources
        keys={['outOfWaterCautionHours', 'outOfWaterMaxHours', 'referenceVpdKPa']}
        policies={policies}
      />
      <WeatherForm form={form} />
      <Readings readings={readings} zone={zone} />
    </Page>
  )
}

function WeatherForm({ form }: { form: FormState }) {
  return (
    <form method="post" class="on-screen">
      <FormProblems form={form} />
      <div class="columns">
        <NumberField form={form} name="tempC" label="Temperature, °C" />
        <NumberField form={form} name="humidity" label="Relative humidity, %" />
        <NumberField form={form} name="wind" label="Wind, m/s" />
        <WhenField form={form} name="when" label="Read" />
        <TextField form={form} name="site" label="Where it was read" />
        <NoteField
          form={form}
          name="lines"
          label="Or paste lines"
          hint="local time; °C; % humidity; m/s where known, like 2027-04-06 14:00; 21.5; 40; 3"
        />
      </div>
      <button class="main">Save</button>
    </form>
  )
}

function Readings({ readings, zone }: { readings: WeatherLine[]; zone: string }) {
  if (readings.length === 0) return <p class="note">No weather is recorded yet.</p>
  return (
    <>
      <Table
        caption={`The latest readings, at most ${WEATHER_PAGE}`}
        head={['When', 'Where', '°C', 'Humidity, %', 'Wind, m/s', 'Drying power, kPa']}
        numbers={[2, 3, 4, 5]}
      >
        {readings.map((line) => (
          <tr>
            <td class="whole">{shownTime(line.readAt, zone)}</td>
            <td>{line.placeName ?? line.site ?? 'the nursery'}</td>
            <td class="number">{line.tempC}</td>
            <td class="number">{line.humidityPercent}</td>
            <td class="number">{line.windMetresPerSecond ?? ''}</td>
            <td class="number">{line.vpdKPa.toFixed(2)}</td>
          </tr>
        ))}
      </Table>
      <p class="hint">
        Drying power is the vapour pressure deficit, by FAO Irrigation and Drainage Paper 56: 25 °C
        at 50 % is {vapourPressureDeficitKPa(25, 50).toFixed(2)} kPa.
      </p>
    </>
  )
}
