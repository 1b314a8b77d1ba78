// The fields of a trunk: rootstock, interstock, their clones and origins, and how they are read.
import type { EntryBody } from '#wire/entry.ts'
import type { Database } from '../../../db/connect.ts'
import { lotsByReference, recentReferences } from '../../grafting/lot-choice.ts'
import { listVarieties } from '../../nursery/read.ts'
import type { VarietyLine } from '../../nursery/read.ts'
import type { LayerNow } from '../../nursery/read-blocks.ts'
import { sourcesByName } from '../../sources/by-name.ts'
import type { FormReader, FormState } from '../form.ts'
import { NumberField, SelectField, TextField } from '../form-page.tsx'
import { typedNameOrNull } from '../typed-text.ts'

type Layer = EntryBody<'vine.planted'>['layers'][number]

/** What the fields offer to choose from. */
export type TrunkChoices = { varieties: VarietyLine[]; origins: string[] }

/** Reads the choices. */
export async function readTrunkChoices(db: Database): Promise<TrunkChoices> {
  const [varieties, origins] = await Promise.all([listVarieties(db), recentReferences(db)])
  return { varieties, origins }
}

/** The fields of one trunk; `prefix` begins their names. */
export function TrunkFields(props: { form: FormState; prefix: string; choices: TrunkChoices }) {
  const { form, prefix, choices } = props
  return (
    <div class="columns">
      {(['rootstock', 'interstock'] as const).map((role) => (
        <div>
          <SelectField
            form={form}
            name={`${prefix}${role}`}
            label={role === 'rootstock' ? 'Rootstock' : 'Interstock'}
            options={varietyOptions(choices.varieties, role)}
          />
          <TextField
            form={form}
            name={`${prefix}${role}Clone`}
            label={`Clone of the ${role}`}
            size={14}
          />
          <TextField
            form={form}
            name={`${prefix}${role}Origin`}
            label={`Lot or source of the ${role}`}
            hint="a lot’s reference or a source’s name; empty when not known"
            list="origins"
            size={20}
          />
        </div>
      ))}
      <div>
        <NumberField form={form} name={`${prefix}plantedYear`} label="Year of planting" />
      </div>
    </div>
  )
}

/** The references to pick from while typing an origin; once on a page with such fields. */
export function OriginList({ choices }: { choices: TrunkChoices }) {
  return (
    <datalist id="origins">
      {choices.origins.map((reference) => (
        <option value={reference} />
      ))}
    </datalist>
  )
}

/** Varieties that can be this layer first, then the others: trunks hold surprises. */
export function varietyOptions(varieties: readonly VarietyLine[], role: LayerNow['role']) {
  const fits = (variety: VarietyLine) =>
    variety.use === 'both' || variety.use === (role === 'rootstock' ? 'rootstock' : 'scion')
  const ordered = [...varieties.filter(fits), ...varieties.filter((one) => !fits(one))]
  return ordered.map(({ variety_id, name }) => ({ value: variety_id, label: name }))
}

/** The values that the fields start from for a known trunk; origins by the names given. */
export function trunkStart(
  prefix: string,
  trunk: { planted_year: number | null; layers: readonly LayerNow[] },
  originNames: ReadonlyMap<string, string>,
): Record<string, string> {
  const start: Record<string, string> = {
    [`${prefix}plantedYear`]: trunk.planted_year === null ? '' : String(trunk.planted_year),
  }
  for (const role of ['rootstock', 'interstock'] as const) {
    const layer = trunk.layers.find((one) => one.role === role)
    if (layer === undefined) continue
    start[`${prefix}${role}`] = layer.variety_id
    start[`${prefix}${role}Clone`] = layer.clone ?? ''
    start[`${prefix}${role}Origin`] = originNames.get(layer.origin_id ?? '') ?? ''
  }
  return start
}

/** Reads a trunk; every problem is at its field. */
export async function readTrunk(
  form: FormReader,
  prefix: string,
  db: Database,
  thisYear: number,
): Promise<{ plantedYear: number | null; layers: Layer[] }> {
  const plantedYear = form.optionalWhole(
    `${prefix}plantedYear`,
    'the year of planting',
    1800,
    thisYear,
  )
  const layers: Layer[] = []
  for (const role of ['rootstock', 'interstock'] as const) {
    const layer = await readLayer(form, prefix, role, db)
    if (layer !== null) layers.push(layer)
  }
  return { plantedYear, layers }
}

async function readLayer(
  form: FormReader,
  prefix: string,
  role: LayerNow['role'],
  db: Database,
): Promise<Layer | null> {
  const name = `${prefix}${role}`
  const varietyId = form.optionalId(name, `the variety of the ${role}`)
  const clone = typedNameOrNull(form, `${name}Clone`, `the clone of the ${role}`)
  const typedOrigin = form.raw(`${name}Origin`)
  if (varietyId === null) {
    if (clone !== null || typedOrigin !== '') {
      form.problem(name, `choose the variety of the ${role}, or empty its clone and origin`)
    }
    return null
  }
  const origin = await readOrigin(form, `${name}Origin`, typedOrigin, { role, varietyId }, db)
  return { role, varietyId, clone, origin }
}

async function readOrigin(
  form: FormReader,
  field: string,
  typed: string,
  layer: { role: LayerNow['role']; varietyId: string },
  db: Database,
): Promise<Layer['origin']> {
  const unknown = { kind: 'unknown' as const }
  if (typed === '') return unknown
  const lots = await lotsByReference(db, typed)
  const sources = await sourcesByName(db, typed)
  const found = [
    ...lots.map((lot) => ({
      origin: { kind: 'lot' as const, id: lot.lot_id },
      // A lot of grafted vines brings its rootstock along under the scion's name.
      varietyId:
        lot.material.endsWith('vine') && layer.role === 'rootstock' ? null : lot.variety_id,
    })),
    ...sources.map((source) => ({
      origin: { kind: 'source' as const, id: source.source_id },
      varietyId: source.variety_id,
    })),
  ]
  const [first] = found
  if (first === undefined) {
    const message = `no lot and no source is called ${typed}: check it, or leave this empty`
    return form.problem(field, message, unknown)
  }
  if (found.length > 1) {
    const message = `${typed} names ${found.length} lots or sources: make them differ first`
    return form.problem(field, message, unknown)
  }
  if (first.varietyId !== null && first.varietyId !== layer.varietyId) {
    const message = `${typed} is of another variety than this ${layer.role}: check both`
    return form.problem(field, message, unknown)
  }
  return first.origin
}
