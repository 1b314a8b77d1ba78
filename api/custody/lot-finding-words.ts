// The English words for findings about lots and sources.
import { atTime, counted, differencesInWords, listed } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

type LotCode =
  | 'lot_unknown'
  | 'lot_made_twice'
  | 'reference_taken'
  | 'more_than_there_was'
  | 'more_buds_set_than_cut'
  | 'cut_differs_from_source'
  | 'split_differs_from_parent'
  | 'combined_differs_from_parent'
  | 'lot_in_circle'
  | 'lot_of_unknown_source'
  | 'bundle_unknown'
  | 'used_before_made'
  | 'left_before_it_came'
  | 'used_on_hold'
  | 'source_not_good_at_cut'
  | 'cut_from_positive_source'
  | 'source_unknown'
  | 'source_tested_positive_later'

export const lotFindingWords: FindingWordsOf<LotCode> = {
  lot_unknown: {
    title: 'A lot that nobody made is in use',
    severity: 'must answer',
    explain: ({ lot_id, entries }, nameOf) =>
      `${counted(entries, 'entry uses', 'entries use')} lot ${nameOf(lot_id)}, but no entry says ` +
      'that it was cut, received, split or combined.',
    mend:
      'Wait for devices that have not sent yet. If it never comes, find out which lot it was and ' +
      'record it as received, or withdraw the entries and record them for the right lot.',
  },
  lot_made_twice: {
    title: 'One lot was made twice',
    severity: 'must answer',
    explain: ({ entries, references }) =>
      `${counted(entries, 'entry makes', 'entries make')} the same lot ` +
      `(${listed(references)}); the earliest counts for what it is, and all count for its stock.`,
    mend: 'Withdraw the entry that is wrong.',
  },
  reference_taken: {
    title: 'Two lots have the same reference',
    severity: 'must answer',
    explain: ({ reference, lots }) =>
      `${counted(lots.length, 'lot')} are called ${reference}: people cannot tell them apart.`,
    mend: 'Withdraw and record again all but one of them with references of their own.',
  },
  more_than_there_was: {
    title: 'More wood went out than was there',
    severity: 'must answer',
    explain: (facts, nameOf) => {
      const missing = counted(-facts.bud_equivalents, 'bud')
      if (facts.account_kind === 'unknown') {
        return `${missing} of lot ${nameOf(facts.lot_id)} came from a place nobody recorded.`
      }
      return (
        `${nameOf(facts.account_id)} gave out ${missing} more of lot ${nameOf(facts.lot_id)} ` +
        'than it held (sticks counted by their buds).'
      )
    },
    mend: 'Look for a handover or return that was not recorded, or for a wrong lot or count.',
  },
  more_buds_set_than_cut: {
    title: 'More buds stand on vines than were ever cut',
    severity: 'must answer',
    explain: ({ lot_id, buds_set, bud_equivalents }, nameOf) =>
      `${counted(buds_set, 'bud')} of lot ${nameOf(lot_id)} are set on vines; the lot had ` +
      `${counted(bud_equivalents, 'bud')}. Some of these vines bear other wood.`,
    mend:
      'Find the grafts recorded for the wrong lot; withdraw them and record the right one. Count ' +
      'the buds on a stick again if the lot says too few.',
  },
  cut_differs_from_source: {
    title: 'A lot is not what its source is',
    severity: 'must answer',
    explain: ({ lot_id, source_id, differs }, nameOf) =>
      `Lot ${nameOf(lot_id)} differs from its source ${nameOf(source_id)}: ` +
      `${differencesInWords(differs, nameOf)}.`,
    mend: 'Correct whichever is wrong: record the source again, or withdraw and record the lot.',
  },
  split_differs_from_parent: {
    title: 'A part is not what its lot is',
    severity: 'must answer',
    explain: ({ lot_id, parent_lot_id, differs }, nameOf) =>
      `Lot ${nameOf(lot_id)} was split from ${nameOf(parent_lot_id)} but differs from it: ` +
      `${differencesInWords(differs, nameOf)}.`,
    mend: 'Withdraw the split and record it with what the lot is.',
  },
  combined_differs_from_parent: {
    title: 'Unlike lots were combined',
    severity: 'must answer',
    explain: ({ lot_id, parent_lot_id, differs }, nameOf) =>
      `Lot ${nameOf(lot_id)} holds wood of ${nameOf(parent_lot_id)} but differs from it: ` +
      `${differencesInWords(differs, nameOf)}.`,
    mend:
      'Wood of several varieties, clones or classes is not one lot. If it was really mixed, put ' +
      'a hold on it; if not, withdraw the entry and record what was combined.',
  },
  lot_in_circle: {
    title: 'A lot came of itself',
    severity: 'must answer',
    explain: ({ lot_id, parents }, nameOf) =>
      `Lot ${nameOf(lot_id)} is recorded as made from ${listed(parents.map(nameOf))}, which in ` +
      'turn came of it. Its origin cannot be told.',
    mend: 'Withdraw the split or combination that is wrong.',
  },
  lot_of_unknown_source: {
    title: 'The source of a lot is not on the register',
    severity: 'must answer',
    explain: ({ lot_id }, nameOf) =>
      `Lot ${nameOf(lot_id)} names a source that nobody has registered.`,
    mend: 'Register the source, or withdraw the lot and record it with its true source.',
  },
  bundle_unknown: {
    title: 'A bundle that nobody tied is in use',
    severity: 'look at',
    explain: ({ lot_id, entries }, nameOf) =>
      `${counted(entries, 'entry uses', 'entries use')} a bundle of lot ${nameOf(lot_id)} that ` +
      'was not tied from this lot.',
    mend: 'Look whether the tag was scanned for the right lot; wait for devices not yet in.',
  },
  used_before_made: {
    title: 'A lot was used before it was made',
    severity: 'look at',
    explain: ({ lot_id, made_at, used_at }, nameOf) =>
      `Lot ${nameOf(lot_id)} was first used on ${atTime(used_at)} but made on ${atTime(made_at)}.`,
    mend: 'Look at the clocks of the devices, or at the lot that was chosen.',
  },
  left_before_it_came: {
    title: 'Wood left a place before it came there',
    severity: 'look at',
    explain: ({ lot_id, place_id, left_at, came_at, bud_equivalents }, nameOf) =>
      `Wood of lot ${nameOf(lot_id)} was taken out of ${nameOf(place_id)} on ` +
      `${atTime(left_at)}, but came there only on ${atTime(came_at)}. In between the records ` +
      `have ${counted(bud_equivalents, 'bud', 'buds')} of it in two places at once.`,
    mend: 'Look at the clocks of the devices, or withdraw the entry that names the wrong place.',
  },
  used_on_hold: {
    title: 'Wood was used while it was on hold',
    severity: 'must answer',
    explain: (facts, nameOf) => {
      const uses = [
        ...(facts.cuts > 0 ? [counted(facts.cuts, 'cut')] : []),
        ...(facts.grafts > 0 ? [counted(facts.grafts, 'graft')] : []),
        ...(facts.hand_overs > 0 ? [counted(facts.hand_overs, 'handover')] : []),
        ...(facts.soaks > 0 ? [counted(facts.soaks, 'soak')] : []),
      ]
      return (
        `Between ${atTime(facts.first_at)} and ${atTime(facts.last_at)} lot ` +
        `${nameOf(facts.lot_id)} had ${listed(uses)} while ${facts.on_kind} ` +
        `${nameOf(facts.on_id)} was on hold.`
      )
    },
    mend:
      'Trace the lot forward to the vines. Decide whether they may stay, and say why; keep the ' +
      'hold until you have.',
  },
  source_not_good_at_cut: {
    title: 'Wood was cut from a source not in good standing',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} was cut on ${atTime(facts.cut_at)} from ` +
      `${nameOf(facts.source_id)}, ${facts.standing} since ${facts.since}.`,
    mend: 'Put a hold on the lot and ask the certification body.',
  },
  cut_from_positive_source: {
    title: 'Wood was cut from a source that had tested positive',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `Lot ${nameOf(facts.lot_id)} was cut on ${atTime(facts.cut_at)}; ` +
      `${nameOf(facts.source_id)} had tested positive for ${facts.agent} in the sample of ` +
      `${facts.sampled_on}.`,
    mend:
      'Put a hold on the lot and the source; tell the plant health authority where the law asks ' +
      'for it.',
  },
  source_unknown: {
    title: 'A source that nobody registered is spoken of',
    severity: 'must answer',
    explain: ({ entries }) =>
      `${counted(entries, 'entry tells', 'entries tell')} of tests, inspections, standings or ` +
      'vines of a source that is not on the register here.',
    mend: 'Register the source, or withdraw what was recorded for the wrong one.',
  },
  source_tested_positive_later: {
    title: 'A source tested positive after wood was cut from it',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `${nameOf(facts.source_id)} tested positive for ${facts.agent} in the sample of ` +
      `${facts.sampled_on}; ${counted(facts.lots, 'lot was', 'lots were')} cut before: ` +
      `${listed(facts.examples.map(nameOf))}${facts.lots > facts.examples.length ? ', …' : ''}.`,
    mend:
      'Put a hold for the agent on the source and trace it forward; tell those who received ' +
      'its wood, and the plant health authority where the law asks for it.',
  },
}
