// The English words for findings about blocks, rows, vines, grafts and take.
import { atTime, counted, differencesInWords } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

type VineCode =
  | 'row_unknown'
  | 'position_beyond_row'
  | 'grafted_where_no_vine'
  | 'differs_from_plan'
  | 'two_rows_one_label'
  | 'block_unknown'
  | 'graft_of_take_unknown'
  | 'take_more_buds_than_set'
  | 'take_on_other_vine'
  | 'removed_graft_unknown'
  | 'grew_after_removal'

export const vineFindingWords: FindingWordsOf<VineCode> = {
  row_unknown: {
    title: 'A row that nobody laid out is in use',
    severity: 'must answer',
    explain: ({ entries }) =>
      `${counted(entries, 'entry is', 'entries are')} about a row that is not laid out here.`,
    mend: 'Lay out the row under this tag, or withdraw the entries and record the right row.',
  },
  position_beyond_row: {
    title: 'A position lies beyond the end of its row',
    severity: 'must answer',
    explain: ({ row_id, position, positions, entries }, nameOf) =>
      `${counted(entries, 'entry is', 'entries are')} about position ${position} of ` +
      `${nameOf(row_id)}, which has ${counted(positions, 'position')}.`,
    mend: 'Count the row: lay it out again if it is longer, else correct the position.',
  },
  grafted_where_no_vine: {
    title: 'A graft stands where there is no vine',
    severity: 'must answer',
    explain: ({ row_id, position, grafts, first_at }, nameOf) =>
      `${counted(grafts, 'graft was', 'grafts were')} set at position ${position} of ` +
      `${nameOf(row_id)} (first on ${atTime(first_at)}), where the vine was missing or removed.`,
    mend: 'Look at the vine: record a planting that was forgotten, or correct the position.',
  },
  differs_from_plan: {
    title: 'What was set is not what was planned',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `In season ${facts.season} lot ${nameOf(facts.lot_id)} was set on ` +
      `${counted(facts.vines, 'vine')} of ${nameOf(facts.row_id)} (positions ` +
      `${facts.first_position} to ${facts.last_position}) with ` +
      `${differencesInWords(facts.differs, nameOf)}.`,
    mend: 'If the plan had changed, record the plan; if not, find out what stands on these vines.',
  },
  two_rows_one_label: {
    title: 'Two rows of a block have the same label',
    severity: 'must answer',
    explain: ({ block_id, label, rows }, nameOf) =>
      `${counted(rows.length, 'row')} of ${nameOf(block_id)} are called ${label}: people cannot ` +
      'tell them apart.',
    mend: 'Lay out all but one of them again with labels of their own.',
  },
  block_unknown: {
    title: 'The block of a row is not registered',
    severity: 'look at',
    explain: ({ rows }) =>
      `${counted(rows.length, 'row is', 'rows are')} laid out in a block that has no name here.`,
    mend: 'Register the block, or lay the rows out in the block they are in.',
  },
  graft_of_take_unknown: {
    title: 'A take check names a graft that is not here',
    severity: 'look at',
    explain: ({ checks, withdrawn }) =>
      `${counted(checks, 'take check names', 'take checks name')} a graft that ` +
      `${withdrawn ? 'was withdrawn' : 'has not come in'}.`,
    mend: 'Wait for devices that have not sent yet; if the graft was a mistake, so is the check.',
  },
  take_more_buds_than_set: {
    title: 'More buds were seen than were set',
    severity: 'look at',
    explain: ({ buds_seen, buds_set }) =>
      `A take check tells of ${counted(buds_seen, 'bud')} on a graft of ` +
      `${counted(buds_set, 'bud')}.`,
    mend: 'Withdraw whichever is wrong and record it again; until then its buds are not counted.',
  },
  take_on_other_vine: {
    title: 'A graft was seen on another vine',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `A graft on position ${facts.position} of ${nameOf(facts.row_id)} was checked on position ` +
      `${facts.seen_position} of ${nameOf(facts.seen_row_id)}.`,
    mend: 'Look which vine bears it; withdraw the entry with the wrong vine and record it again.',
  },
  removed_graft_unknown: {
    title: 'A graft was removed that is not here',
    severity: 'look at',
    explain: ({ withdrawn }) =>
      `A graft is recorded as removed, but it ${withdrawn ? 'was withdrawn' : 'has not come in'}.`,
    mend: 'Wait for devices that have not sent yet; if the graft was a mistake, so is its removal.',
  },
  grew_after_removal: {
    title: 'A graft was seen growing after it was removed',
    severity: 'look at',
    explain: ({ removed_at, seen_at }) =>
      `A graft removed on ${atTime(removed_at)} was seen growing on ${atTime(seen_at)}.`,
    mend: 'Look at the vine and withdraw whichever entry is wrong.',
  },
}
