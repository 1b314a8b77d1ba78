// Treatments of wood: what was done, to which wood, and the curve where one was measured.
import { sql } from 'kysely'
import type { CurveReading, HotWaterRun } from '#trade/hot-water.ts'
import { HOT_WATER_PURPOSES } from '#trade/hot-water-protocols.ts'
import type { HotWaterPurpose } from '#trade/hot-water-protocols.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { Database } from '../../db/connect.ts'

/** Wood that was treated; it is named as it was then. */
export type TreatedWood = {
  lotId: string
  reference: string | null
  bundleNumber: number | null
  unit: 'stick' | 'bud'
  count: number
}

export type Treatment = {
  entryId: string
  treatedAt: Date
  person: string | null
  /** The tank or place by name, and the bath where one was recorded. */
  where: string | null
  bathId: string | null
  note: string
  wood: TreatedWood[]
} & (
  | { treatment: 'hot water'; purposes: HotWaterPurpose[]; run: HotWaterRun }
  | {
      treatment: 'fungicide dip' | 'disinfectant dip'
      product: string
      concentration: string | null
      minutes: number | null
    }
)

/** Most treatments on one page. */
export const TREATMENT_PAGE = 100

/** The latest treatments, the newest first; of one lot, of one entry, or of all. */
export async function readTreatments(
  db: Database,
  of: { lotId?: string; entryId?: string } = {},
): Promise<Treatment[]> {
  const lotId = of.lotId ?? null
  const entryId = of.entryId ?? null
  const rows = await sql<Row>`
    select t.*, p.name as person, coalesce(w.name, bw.name) as place_name,
      (select coalesce(jsonb_agg(jsonb_build_object('minute', r.minute, 'tempC', r.temp_c)
        order by r.line), '[]') from treatment_reading r where r.entry_id = t.entry_id) as readings,
      (select coalesce(jsonb_agg(jsonb_build_object('lotId', x.lot_id, 'reference', l.reference,
        'bundleNumber', case when x.bundle_id = ${NIL_ID} then null else (select number
          from bundle b where b.bundle_id = x.bundle_id
          order by b.occurred_at, b.entry_id, b.line limit 1) end,
        'unit', x.unit, 'count', x.count) order by x.line), '[]')
        from treated_wood x left join lot_first l on l.lot_id = x.lot_id
        where x.entry_id = t.entry_id) as wood
    from treatment t left join person p on p.person_id = t.person_id
      left join place_now w on w.place_id = t.place_id
      left join lateral (select place_id from bath where bath.bath_id = t.bath_id
        order by filled_at, entry_id limit 1) b on true
      left join place_now bw on bw.place_id = b.place_id
    where (${lotId}::uuid is null or t.entry_id in
        (select entry_id from treated_wood where lot_id = ${lotId}))
      and (${entryId}::uuid is null or t.entry_id = ${entryId})
    order by t.treated_at desc, t.entry_id limit ${TREATMENT_PAGE}`.execute(db)
  return rows.rows.map(treatmentOf)
}

type Row = {
  entry_id: string
  treatment: Treatment['treatment']
  bath_id: string | null
  purposes: string[]
  set_temp_c: number | null
  minutes: number | null
  product: string | null
  concentration: number | null
  concentration_unit: string | null
  dose: string | null
  note: string
  treated_at: Date
  person: string | null
  place_name: string | null
  readings: CurveReading[]
  wood: TreatedWood[]
}

function treatmentOf(row: Row): Treatment {
  const told = {
    entryId: row.entry_id,
    treatedAt: row.treated_at,
    person: row.person,
    where: row.place_name,
    bathId: row.bath_id,
    note: row.note,
    wood: row.wood,
  }
  if (row.treatment === 'hot water') {
    const purposes = HOT_WATER_PURPOSES.filter((purpose) => row.purposes.includes(purpose))
    const run: HotWaterRun =
      row.readings.length > 0
        ? { by: 'curve', readings: row.readings }
        : { by: 'set point', tempC: row.set_temp_c ?? 0, minutes: row.minutes ?? 0 }
    return { ...told, treatment: row.treatment, purposes, run }
  }
  const parts = [
    ...(row.concentration === null ? [] : [`${row.concentration} ${row.concentration_unit ?? ''}`]),
    ...(row.dose === null ? [] : [row.dose]),
  ]
  return {
    ...told,
    treatment: row.treatment,
    product: row.product ?? '',
    concentration: parts.length === 0 ? null : parts.join(', '),
    minutes: row.minutes,
  }
}
