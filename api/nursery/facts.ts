// What entries about the nursery's ground and rules state.
import type { Entry, EntryBody } from '#wire/entry.ts'
import { subjects } from '../journal/fact-rows.ts'
import type { FactRows, FactsOfKinds } from '../journal/fact-rows.ts'

type NurseryKind =
  | 'nursery.described'
  | 'variety.registered'
  | 'block.registered'
  | 'row.laid_out'
  | 'vine.removed'
  | 'vine.planted'
  | 'row.planned'
  | 'policy.set'

type Layers = EntryBody<'vine.planted'>['layers']

export const nurseryFacts: FactsOfKinds<NurseryKind> = {
  'nursery.described': ({ id, occurredAt, body }) => ({
    nursery: [
      {
        entry_id: id,
        name: body.name,
        address: body.address,
        country: body.country,
        operator_number: body.operatorNumber,
        certification_body: body.certificationBody,
        label_host: body.labelHost,
        time_zone: body.timeZone,
        occurred_at: occurredAt,
      },
    ],
  }),
  'variety.registered': (entry) => ({
    variety: [
      {
        entry_id: entry.id,
        variety_id: entry.body.varietyId,
        name: entry.body.name,
        synonyms: entry.body.synonyms,
        use: entry.body.use,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'variety', id: entry.body.varietyId }]),
  }),
  'block.registered': (entry) => ({
    block: [
      {
        entry_id: entry.id,
        block_id: entry.body.blockId,
        name: entry.body.name,
        note: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'block', id: entry.body.blockId }]),
  }),
  'row.laid_out': rowFacts,
  'vine.removed': (entry) => ({
    vine_change: [
      {
        entry_id: entry.id,
        row_id: entry.body.rowId,
        position: entry.body.position,
        what: 'removed',
        planted_year: null,
        reason: entry.body.reason,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'row', id: entry.body.rowId }]),
  }),
  'vine.planted': (entry) => ({
    vine_change: [
      {
        entry_id: entry.id,
        row_id: entry.body.rowId,
        position: entry.body.position,
        what: 'planted',
        planted_year: entry.body.plantedYear,
        reason: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    trunk_layer: layerRows(entry, 0, entry.body.rowId, {
      ...entry.body,
      fromPosition: entry.body.position,
      toPosition: entry.body.position,
    }),
    entry_subject: subjects(entry, [{ kind: 'row', id: entry.body.rowId }]),
  }),
  'row.planned': (entry) => ({
    row_plan: [
      {
        entry_id: entry.id,
        row_id: entry.body.rowId,
        from_position: entry.body.fromPosition,
        to_position: entry.body.toPosition,
        season: entry.body.season,
        variety_id: entry.body.varietyId,
        clone: entry.body.clone,
        class: entry.body.class,
        method: entry.body.method,
        buds_per_vine: entry.body.budsPerVine,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'row', id: entry.body.rowId }]),
  }),
  'policy.set': (entry) => ({
    policy_setting: [
      {
        entry_id: entry.id,
        key: entry.body.key,
        value: entry.body.value,
        source: entry.body.source,
        effective_from: entry.body.effectiveFrom,
        occurred_at: entry.occurredAt,
      },
    ],
  }),
}

function rowFacts(entry: Entry<'row.laid_out'>): FactRows {
  const { body } = entry
  return {
    block_row: [
      {
        entry_id: entry.id,
        row_id: body.rowId,
        block_id: body.blockId,
        label: body.label,
        sequence: body.sequence,
        position_count: body.positionCount,
        head_at: body.headAt,
        missing: body.missing,
        occurred_at: entry.occurredAt,
      },
    ],
    row_section: body.sections.map((section, line) => ({
      entry_id: entry.id,
      line,
      row_id: body.rowId,
      from_position: section.fromPosition,
      to_position: section.toPosition,
      planted_year: section.plantedYear,
    })),
    trunk_layer: body.sections.flatMap((section, line) =>
      layerRows(entry, line, body.rowId, section),
    ),
    entry_subject: subjects(entry, [
      { kind: 'row', id: body.rowId },
      { kind: 'block', id: body.blockId },
    ]),
  }
}

function layerRows(
  entry: Entry,
  line: number,
  rowId: string,
  section: {
    fromPosition: number
    toPosition: number
    plantedYear: number | null
    layers: Layers
  },
): NonNullable<FactRows['trunk_layer']> {
  return section.layers.map((layer, order) => ({
    entry_id: entry.id,
    line,
    layer_order: order,
    row_id: rowId,
    from_position: section.fromPosition,
    to_position: section.toPosition,
    role: layer.role,
    variety_id: layer.varietyId,
    clone: layer.clone,
    origin_kind: layer.origin.kind,
    origin_id: layer.origin.kind === 'unknown' ? null : layer.origin.id,
    planted_year: section.plantedYear,
    occurred_at: entry.occurredAt,
  }))
}
