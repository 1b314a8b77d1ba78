// What entries about tags state.
import { subjects } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'

type TagKind = 'tag.printed' | 'tag.bound' | 'tag.replaced' | 'tag.spoiled'

export const tagFacts: FactsOfKinds<TagKind> = {
  'tag.printed': (entry) => ({
    tag_print: entry.body.codes.map((code, line) => ({
      entry_id: entry.id,
      line,
      print_id: entry.body.printId,
      code,
      payload: entry.body.payload,
      form: entry.body.form,
      reprint_reason: entry.body.reprintReason,
      occurred_at: entry.occurredAt,
    })),
  }),
  'tag.bound': (entry) => ({
    tag_binding: [
      {
        entry_id: entry.id,
        code: entry.body.code,
        thing_kind: entry.body.thing.kind,
        thing_id: entry.body.thing.id,
        replaces_code: null,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [entry.body.thing]),
  }),
  'tag.replaced': (entry) => ({
    tag_binding: [
      {
        entry_id: entry.id,
        code: entry.body.newCode,
        thing_kind: entry.body.thing.kind,
        thing_id: entry.body.thing.id,
        replaces_code: entry.body.oldCode,
        occurred_at: entry.occurredAt,
      },
    ],
    tag_end: [
      {
        entry_id: entry.id,
        code: entry.body.oldCode,
        how: 'replaced',
        reason: entry.body.reason,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [entry.body.thing]),
  }),
  'tag.spoiled': (entry) => ({
    tag_end: [
      {
        entry_id: entry.id,
        code: entry.body.code,
        how: 'spoiled',
        reason: entry.body.reason,
        occurred_at: entry.occurredAt,
      },
    ],
  }),
}
