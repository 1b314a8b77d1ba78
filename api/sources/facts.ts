// What entries about source blocks and source vines state.
import { subjects } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'

type SourceKind =
  | 'source.registered'
  | 'source.standing_changed'
  | 'source.tested'
  | 'source.inspected'
  | 'scheme.rule_set'

export const sourceFacts: FactsOfKinds<SourceKind> = {
  'source.registered': ({ body, ...entry }) => ({
    source: [
      {
        entry_id: entry.id,
        source_id: body.sourceId,
        level: body.level,
        parent_source_id: body.parentSourceId,
        name: body.name,
        registry_number: body.registryNumber,
        variety_id: body.varietyId,
        clone: body.clone,
        scheme: body.scheme,
        class: body.class,
        planted_year: body.plantedYear,
        origin_lot_id: body.originLotId,
        row_id: body.vine?.rowId ?? null,
        position: body.vine?.position ?? null,
        note: body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects({ body, ...entry }, [
      { kind: 'source', id: body.sourceId },
      { kind: 'source', id: body.parentSourceId },
      { kind: 'lot', id: body.originLotId },
      { kind: 'row', id: body.vine?.rowId ?? null },
    ]),
  }),
  'source.standing_changed': (entry) => ({
    source_standing: [
      {
        entry_id: entry.id,
        source_id: entry.body.sourceId,
        standing: entry.body.standing,
        effective_from: entry.body.effectiveFrom,
        reason: entry.body.reason,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'source', id: entry.body.sourceId }]),
  }),
  'source.tested': (entry) => ({
    source_test: [
      {
        entry_id: entry.id,
        source_id: entry.body.sourceId,
        agent: entry.body.agent,
        method: entry.body.method,
        laboratory: entry.body.laboratory,
        sampled_on: entry.body.sampledOn,
        pooled_vines: entry.body.pooledVines,
        result: entry.body.result,
        sample_reference: entry.body.sampleReference,
        note: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'source', id: entry.body.sourceId }]),
  }),
  'source.inspected': (entry) => ({
    source_inspection: [
      {
        entry_id: entry.id,
        source_id: entry.body.sourceId,
        kind: entry.body.kind,
        inspected_on: entry.body.inspectedOn,
        party_id: entry.body.partyId,
        result: entry.body.result,
        isolation_metres: entry.body.isolationMetres,
        nearby: entry.body.nearby,
        note: entry.body.note,
        person_id: entry.person,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [
      { kind: 'source', id: entry.body.sourceId },
      { kind: 'party', id: entry.body.partyId },
    ]),
  }),
  'scheme.rule_set': (entry) => ({
    scheme_rule: [
      {
        entry_id: entry.id,
        scheme: entry.body.scheme,
        topic: entry.body.topic,
        class: entry.body.className,
        amount: entry.body.amount,
        citation: entry.body.citation,
        occurred_at: entry.occurredAt,
      },
    ],
  }),
}
