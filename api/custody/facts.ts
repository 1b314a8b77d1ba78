// What entries about custody and about the record itself state.
import { NIL_ID } from '#wire/basics.ts'
import { discardedAccount, move, subjects } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'
import { woodThings } from '../store/facts.ts'

type CustodyKind =
  | 'party.registered'
  | 'wood.handed_over'
  | 'wood.accepted'
  | 'wood.returned'
  | 'wood.discarded'
  | 'hold.placed'
  | 'hold.lifted'
  | 'finding.answered'
  | 'entry.withdrawn'

export const custodyFacts: FactsOfKinds<CustodyKind> = {
  'party.registered': (entry) => ({
    party: [
      {
        entry_id: entry.id,
        party_id: entry.body.partyId,
        name: entry.body.name,
        role: entry.body.role,
        registration_number: entry.body.registrationNumber,
        note: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'party', id: entry.body.partyId }]),
  }),
  'wood.handed_over': (entry) => {
    const { wood, from, toHolderId } = entry.body
    const holder = { kind: 'holder', id: toHolderId }
    return {
      movement: move(entry, 0, wood, from, holder),
      entry_subject: subjects(entry, [...woodThings(wood), from, holder]),
    }
  },
  'wood.accepted': (entry) => {
    const { handoverId, wood } = entry.body
    return {
      wood_acceptance: [
        {
          entry_id: entry.id,
          handover_id: handoverId,
          lot_id: wood.lotId,
          bundle_id: wood.bundleId ?? NIL_ID,
          unit: wood.unit,
          count: wood.count,
          person_id: entry.person,
          accepted_at: entry.occurredAt,
        },
      ],
      entry_subject: subjects(entry, woodThings(wood)),
    }
  },
  'wood.returned': (entry) => {
    const { wood, fromHolderId, placeId } = entry.body
    const holder = { kind: 'holder', id: fromHolderId }
    const place = { kind: 'place', id: placeId }
    return {
      movement: move(entry, 0, wood, holder, place),
      entry_subject: subjects(entry, [...woodThings(wood), holder, place]),
    }
  },
  'wood.discarded': (entry) => ({
    movement: move(entry, 0, entry.body.wood, entry.body.from, discardedAccount),
    entry_subject: subjects(entry, [...woodThings(entry.body.wood), entry.body.from]),
  }),
  'hold.placed': (entry) => ({
    hold: [
      {
        entry_id: entry.id,
        hold_id: entry.body.holdId,
        on_kind: entry.body.on.kind,
        on_id: entry.body.on.id,
        agent: entry.body.agent,
        reason: entry.body.reason,
        person_id: entry.person,
        placed_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'hold', id: entry.body.holdId }, entry.body.on]),
  }),
  'hold.lifted': (entry) => ({
    hold_lift: [
      {
        entry_id: entry.id,
        hold_id: entry.body.holdId,
        reason: entry.body.reason,
        person_id: entry.person,
        second_person_id: entry.body.secondPersonId,
        lifted_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'hold', id: entry.body.holdId }]),
  }),
  'finding.answered': (entry) => ({
    finding_answer: [
      {
        entry_id: entry.id,
        finding_key: entry.body.findingKey,
        answer: entry.body.answer,
        person_id: entry.person,
        answered_at: entry.occurredAt,
      },
    ],
  }),
  'entry.withdrawn': (entry) => ({
    withdrawal: [
      {
        entry_id: entry.id,
        withdrawn_id: entry.body.entryId,
        reason: entry.body.reason,
        person_id: entry.person,
        withdrawn_at: entry.occurredAt,
      },
    ],
  }),
}
