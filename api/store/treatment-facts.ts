// What entries about treatments and the weather state.
import { NIL_ID } from '#wire/basics.ts'
import type { Entry } from '#wire/entry.ts'
import { subjects } from '../journal/fact-rows.ts'
import type { FactRows, FactsOfKinds } from '../journal/fact-rows.ts'
import { woodThings } from './facts.ts'

type TreatmentKind = 'treatment.done' | 'weather.logged'

export const treatmentFacts: FactsOfKinds<TreatmentKind> = {
  'treatment.done': (entry) => {
    const { treated, bathId, placeId } = entry.body
    const where = [
      { kind: 'bath', id: bathId },
      { kind: 'place', id: placeId },
    ]
    return {
      treatment: [treatmentRow(entry)],
      treated_wood: treated.map(({ lotId, bundleId, unit, count }, line) => ({
        entry_id: entry.id,
        line,
        lot_id: lotId,
        bundle_id: bundleId ?? NIL_ID,
        unit,
        count,
      })),
      treatment_reading: readingRows(entry),
      entry_subject: subjects(entry, [...treated.flatMap(woodThings), ...where]),
    }
  },
  'weather.logged': (entry) => ({
    weather_reading: entry.body.readings.map((reading, line) => ({
      entry_id: entry.id,
      line,
      place_id: entry.body.placeId,
      site: entry.body.site,
      read_at: reading.at,
      temp_c: reading.tempC,
      humidity_percent: reading.humidityPercent,
      wind_metres_per_second: reading.windMetresPerSecond,
    })),
    entry_subject: subjects(entry, [{ kind: 'place', id: entry.body.placeId }]),
  }),
}

type TreatmentRow = NonNullable<FactRows['treatment']>[number]

function treatmentRow(entry: Entry<'treatment.done'>): TreatmentRow {
  const { body } = entry
  const { done } = body
  const row = {
    entry_id: entry.id,
    treatment: done.treatment,
    bath_id: body.bathId,
    place_id: body.placeId,
    note: body.note,
    person_id: entry.person,
    treated_at: entry.occurredAt,
  }
  if (done.treatment === 'hot water') {
    const set = done.run.by === 'set point' ? done.run : null
    return {
      ...row,
      purposes: done.purposes,
      set_temp_c: set?.tempC ?? null,
      minutes: set?.minutes ?? null,
      product: null,
      concentration: null,
      concentration_unit: null,
      dose: null,
    }
  }
  return {
    ...row,
    purposes: [],
    set_temp_c: null,
    minutes: done.minutes,
    product: done.product,
    concentration: done.concentration?.value ?? null,
    concentration_unit: done.concentration?.unit ?? null,
    dose: done.dose,
  }
}

function readingRows(entry: Entry<'treatment.done'>): NonNullable<FactRows['treatment_reading']> {
  const { done } = entry.body
  if (done.treatment !== 'hot water' || done.run.by !== 'curve') return []
  return done.run.readings.map(({ minute, tempC }, line) => ({
    entry_id: entry.id,
    line,
    minute,
    temp_c: tempC,
  }))
}
