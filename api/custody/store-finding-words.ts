// The English words for findings about baths, places and tags.
import { atTime, counted } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

type StoreCode =
  | 'bath_unknown'
  | 'bath_filled_twice'
  | 'place_unknown'
  | 'soak_without_end'
  | 'soaked_in_emptied_bath'
  | 'soaked_before_filled'
  | 'soak_ended_not_begun'
  | 'soaked_in_held_bath'
  | 'tag_on_two_things'
  | 'tag_used_after_end'
  | 'tag_not_ours'
  | 'thing_of_tag_unknown'

export const storeFindingWords: FindingWordsOf<StoreCode> = {
  bath_unknown: {
    title: 'A bath that nobody filled is in use',
    severity: 'must answer',
    explain: ({ entries }) =>
      `${counted(entries, 'entry is', 'entries are')} about a bath that no entry says was filled.`,
    mend: 'Record the filling with its time, or withdraw the entries and record the right bath.',
  },
  bath_filled_twice: {
    title: 'One bath was filled twice',
    severity: 'look at',
    explain: ({ bath_id, entries }, nameOf) =>
      `${counted(entries, 'entry fills', 'entries fill')} the same ${nameOf(bath_id)}: new water ` +
      'is a new bath.',
    mend: 'Withdraw the filling that is wrong; fill a new bath for new water.',
  },
  place_unknown: {
    title: 'A place that nobody registered is in use',
    severity: 'look at',
    explain: ({ entries }) =>
      `${counted(entries, 'entry says', 'entries say')} that wood or a bath is in a place that ` +
      'is not registered here. It counts as not cooled.',
    mend: 'Register the place, or record where the wood really is.',
  },
  soak_without_end: {
    title: 'Wood is still in a bath that was emptied',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `The ${nameOf(facts.bath_id)} was emptied on ${atTime(facts.emptied_at)}; by the records ` +
      `lot ${nameOf(facts.lot_id)} still has ${counted(facts.bud_equivalents, 'bud')} in it.`,
    mend: 'Record where the wood went when it was lifted, with the time.',
  },
  soaked_in_emptied_bath: {
    title: 'Wood was put in a bath that had been emptied',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} went in on ${atTime(facts.began_at)}; the ` +
      `${nameOf(facts.bath_id)} was emptied on ${atTime(facts.emptied_at)}.`,
    mend: 'Record the new filling as a new bath, or correct the times.',
  },
  soaked_before_filled: {
    title: 'Wood was put in a bath before it was filled',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} went in on ${atTime(facts.began_at)}; the ` +
      `${nameOf(facts.bath_id)} was filled on ${atTime(facts.filled_at)}.`,
    mend: 'Look at the clocks of the devices, or at the bath that was chosen.',
  },
  soak_ended_not_begun: {
    title: 'Wood came out of a bath that it never went into',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} was lifted out of the ${nameOf(facts.bath_id)} on ` +
      `${atTime(facts.ended_at)}; no entry puts it in.`,
    mend: 'Record when it went in; until then its time in water is not known.',
  },
  soaked_in_held_bath: {
    title: 'Wood was put in a bath on hold',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} was put in the ${nameOf(facts.bath_id)} ` +
      `${counted(facts.soaks, 'time')}, first on ${atTime(facts.first_at)}, while it was on hold.`,
    mend: 'Set the wood apart and decide whether it may be used; say why.',
  },
  tag_on_two_things: {
    title: 'One tag is on two things',
    severity: 'must answer',
    explain: ({ code, things }, nameOf) =>
      `Tag ${code} is bound to ${things
        .map(({ kind, id }) => `${kind} ${nameOf(id)}`)
        .join(' and to ')}; the first counts.`,
    mend: 'Look which thing carries it, give the other a new tag, and withdraw the wrong binding.',
  },
  tag_used_after_end: {
    title: 'A tag was used again after its end',
    severity: 'must answer',
    explain: ({ code, how, ended_at, bound_at }) =>
      `Tag ${code} was ${how} on ${atTime(ended_at)} and bound on ${atTime(bound_at)}.`,
    mend: 'Give the thing a new tag and destroy the old one: a code is never used again.',
  },
  tag_not_ours: {
    title: 'A tag is in use that was not printed here',
    severity: 'look at',
    explain: ({ code }) => `Tag ${code} is bound, but no print of it is recorded.`,
    mend: 'Record the print if it is yours; if not, give the thing a tag of your own.',
  },
  thing_of_tag_unknown: {
    title: 'A tag is on something nobody recorded',
    severity: 'must answer',
    explain: ({ code, kind }) => `Tag ${code} is bound to a ${kind} that no entry describes.`,
    mend: 'Wait for devices that have not sent yet; else withdraw the binding.',
  },
}
