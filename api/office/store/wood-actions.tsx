// What can be done with wood at the desk, each with its fields and what it records.
import { holderProblems } from '../../custody/holders.ts'
import { bathProblems, placeProblems, samePlaceProblems } from '../../store/checks.ts'
import {
  discardDrafts,
  handOverDrafts,
  moveDrafts,
  soakDrafts,
  takeOutDrafts,
  unknownAccount,
} from '../../store/wood-drafts.ts'
import { NoteField, SelectField } from '../form-page.tsx'
import { chosenId } from '../chosen-id.ts'
import { typedNote, typedReason } from '../typed-text.ts'
import { accountOptions, bathOptions, holderOptions, placeOptions, readAccount } from './choices.ts'
import type { WoodAction } from './wood-action.tsx'

export const moveAction: WoodAction = {
  title: 'Move wood',
  lead: 'Wood comes to lie in a place. Out of a bath it counts as the end of the soak.',
  legend: 'Wood to move',
  button: 'Move',
  kinds: ['place', 'unknown', 'bath', 'holder'],
  judged: () => false,
  none: 'There is no wood at hand to move.',
  fields: (form, choices) => (
    <SelectField form={form} name="placeId" label="To" required options={placeOptions(choices)} />
  ),
  read: (form, choices, chosen, at) => {
    const placeId = chosenId(form, 'placeId', 'where the wood comes to lie')
    form.addProblems(placeProblems(choices.places, placeId, 'placeId'))
    form.addProblems(samePlaceProblems(chosen, { kind: 'place', id: placeId }, 'placeId'))
    return moveDrafts(chosen, placeId, at)
  },
}

export const handOverAction: WoodAction = {
  title: 'Hand over wood',
  lead: 'Wood passes to a crew or a person, who has custody of it until it is back or used.',
  legend: 'Wood to hand over',
  button: 'Hand over',
  kinds: ['place', 'unknown', 'bath', 'holder'],
  judged: () => true,
  none: 'There is no wood at hand to hand over.',
  fields: (form, choices) => (
    <>
      <SelectField
        form={form}
        name="toHolderId"
        label="To"
        required
        options={holderOptions(choices)}
      />
      <NoteField form={form} name="note" label="Note" />
    </>
  ),
  read: (form, choices, chosen, at) => {
    const holderId = chosenId(form, 'toHolderId', 'the crew or person who takes it')
    form.addProblems(holderProblems(choices.holders, holderId, 'toHolderId'))
    form.addProblems(samePlaceProblems(chosen, { kind: 'holder', id: holderId }, 'toHolderId'))
    return handOverDrafts(chosen, holderId, typedNote(form, 'note', 'Note'), at)
  },
}

export const returnAction: WoodAction = {
  title: 'Take wood back',
  lead: 'Wood that a crew or person did not use comes back to a place. Count what is left.',
  legend: 'Wood that comes back',
  button: 'Take back',
  kinds: ['holder'],
  judged: () => false,
  none: 'No crew or person has any of it.',
  fields: (form, choices) => (
    <>
      <SelectField form={form} name="placeId" label="To" required options={placeOptions(choices)} />
      <NoteField form={form} name="note" label="Note" />
    </>
  ),
  read: (form, choices, chosen, at) => {
    const placeId = chosenId(form, 'placeId', 'where the wood comes to lie')
    form.addProblems(placeProblems(choices.places, placeId, 'placeId'))
    return moveDrafts(chosen, placeId, at, typedNote(form, 'note', 'Note'))
  },
}

export const discardAction: WoodAction = {
  title: 'Discard wood',
  lead: 'Wood is thrown away and counts no more. The record keeps how much, why and by whom.',
  legend: 'Wood thrown away',
  button: 'Discard',
  kinds: ['place', 'unknown', 'bath', 'holder'],
  judged: () => false,
  none: 'There is no wood at hand to discard.',
  fields: (form) => (
    <NoteField
      form={form}
      name="reason"
      label="Reason"
      required
      hint="such as: mould on half the sticks"
    />
  ),
  read: (form, choices, chosen, at) => {
    const reason = typedReason(form, 'reason', 'Reason')
    return discardDrafts(chosen, reason, at, (bathId) => {
      const bath = choices.baths.find((standing) => standing.bathId === bathId)
      return bath === undefined ? unknownAccount : { kind: 'place', id: bath.tankId }
    })
  },
}

export const soakAction: WoodAction = {
  title: 'Put wood into a bath',
  lead: 'Wood goes into water. Take it out of its present bath first, if it is in one.',
  legend: 'Wood to soak',
  button: 'Put into the bath',
  kinds: ['place', 'unknown', 'holder'],
  judged: () => true,
  none: 'There is no wood out of water to soak.',
  fields: (form, choices) => (
    <SelectField form={form} name="bathId" label="Bath" required options={bathOptions(choices)} />
  ),
  read: (form, choices, chosen, at) => {
    const bathId = chosenId(form, 'bathId', 'a bath that stands filled')
    const bath = choices.baths.find((standing) => standing.bathId === bathId) ?? null
    const fields = { bath: 'bathId', when: 'when' }
    form.addProblems(bathProblems(bath, at, choices.zone, fields))
    return soakDrafts(chosen, bathId, at)
  },
}

export const takeOutAction: WoodAction = {
  title: 'Take wood out of a bath',
  lead: 'The soak ends here. Drain the wood; keep it cold if it is not used the same day.',
  legend: 'Wood that comes out',
  button: 'Take out',
  kinds: ['bath'],
  judged: (form) => form.raw('to').startsWith('holder'),
  none: 'No wood is recorded in a bath.',
  fields: (form, choices) => (
    <SelectField form={form} name="to" label="To" required options={accountOptions(choices)} />
  ),
  read: (form, choices, chosen, at) =>
    takeOutDrafts(chosen, readAccount(form, 'to', 'where the wood goes', choices), at),
}
