// What entries made at the vine state.
import { NIL_ID } from '#wire/basics.ts'
import { move, subjects, vineAccount } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'

type GraftingKind =
  | 'graft.made'
  | 'vine.skipped'
  | 'graft.removed'
  | 'tool.disinfected'
  | 'tie.released'
  | 'take.checked'

export const graftingFacts: FactsOfKinds<GraftingKind> = {
  'graft.made': (entry) => {
    const { body } = entry
    const wood = {
      lotId: body.lotId,
      bundleId: body.bundleId,
      unit: 'bud' as const,
      count: body.budCount,
    }
    return {
      graft: [
        {
          entry_id: entry.id,
          row_id: body.vine.rowId,
          position: body.vine.position,
          lot_id: body.lotId,
          bundle_id: body.bundleId ?? NIL_ID,
          method: body.method,
          bud_count: body.budCount,
          knife_id: body.knifeId,
          tie: body.tie,
          person_id: entry.person,
          device_id: entry.device,
          grafted_at: entry.occurredAt,
        },
      ],
      movement: move(entry, 0, wood, body.from, vineAccount(body.vine.rowId)),
    }
  },
  'vine.skipped': (entry) => ({
    vine_skip: [
      {
        entry_id: entry.id,
        row_id: entry.body.vine.rowId,
        position: entry.body.vine.position,
        reason: entry.body.reason,
        person_id: entry.person,
        occurred_at: entry.occurredAt,
      },
    ],
  }),
  'graft.removed': (entry) => ({
    graft_removal: [
      {
        entry_id: entry.id,
        graft_id: entry.body.graftId,
        reason: entry.body.reason,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'graft', id: entry.body.graftId }]),
  }),
  'tool.disinfected': (entry) => ({
    tool_cleaning: [
      {
        entry_id: entry.id,
        knife_id: entry.body.knifeId,
        disinfectant: entry.body.disinfectant,
        row_id: entry.body.vine?.rowId ?? null,
        position: entry.body.vine?.position ?? null,
        person_id: entry.person,
        device_id: entry.device,
        cleaned_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'knife', id: entry.body.knifeId }]),
  }),
  'tie.released': (entry) => ({
    tie_release: [
      {
        entry_id: entry.id,
        row_id: entry.body.vine.rowId,
        position: entry.body.vine.position,
        graft_id: entry.body.graftId,
        person_id: entry.person,
        released_at: entry.occurredAt,
      },
    ],
  }),
  'take.checked': (entry) => ({
    take_check: entry.body.results.map((result, line) => ({
      entry_id: entry.id,
      line,
      row_id: entry.body.vine.rowId,
      position: entry.body.vine.position,
      graft_id: result.graftId,
      growing: result.growing,
      callused: result.callused,
      failed: result.failed,
      shoot_length_mm: entry.body.shootLengthMm,
      person_id: entry.person,
      checked_at: entry.occurredAt,
    })),
  }),
}
