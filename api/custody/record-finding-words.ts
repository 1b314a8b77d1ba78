// The English words for findings about the record itself: devices, clocks, withdrawals, holds.
import { atTime, counted } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

type RecordCode =
  | 'hold_unknown'
  | 'counter_missing'
  | 'counter_twice'
  | 'withdrawn_unknown'
  | 'withdrawal_of_withdrawal'
  | 'clock_ahead'
  | 'late_entry'

export const recordFindingWords: FindingWordsOf<RecordCode> = {
  hold_unknown: {
    title: 'A hold was lifted that nobody placed',
    severity: 'must answer',
    explain: ({ lifted_at }) =>
      `A hold that is not here was lifted on ${atTime(lifted_at)}; when it comes in it will ` +
      'count as lifted.',
    mend: 'Wait for devices that have not sent yet; else withdraw the lifting.',
  },
  counter_missing: {
    title: 'Entries of a device are missing',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      facts.from === facts.to
        ? `Entry number ${facts.from} of ${nameOf(facts.device_id)} has not come in.`
        : `Entries number ${facts.from} to ${facts.to} of ${nameOf(facts.device_id)} have not ` +
          'come in.',
    mend: 'Send from the device, or look among the entries set aside. If they are lost, say so.',
  },
  counter_twice: {
    title: 'A device gave two entries the same number',
    severity: 'must answer',
    explain: ({ device_id, counter }, nameOf) =>
      `${nameOf(device_id)} gave number ${counter} to more than one entry: it was set back, or ` +
      'copied.',
    mend: 'Stop using the device, enrol it anew, and look at what it sent since.',
  },
  withdrawn_unknown: {
    title: 'An entry was withdrawn that is not here',
    severity: 'look at',
    explain: ({ entry_id }) => `Entry ${entry_id} was withdrawn but has not come in.`,
    mend: 'Wait for devices that have not sent yet; when it comes in it will count as withdrawn.',
  },
  withdrawal_of_withdrawal: {
    title: 'A withdrawal was withdrawn',
    severity: 'must answer',
    explain: ({ entry_id }) =>
      `Withdrawal ${entry_id} was itself withdrawn, which has no effect: what it withdrew counts ` +
      'no more.',
    mend: 'If the first entry was right after all, record it again.',
  },
  clock_ahead: {
    title: 'The clock of a device runs ahead',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `${counted(facts.entries, 'entry', 'entries')} of ${nameOf(facts.device_id)} recorded on ` +
      `${facts.recorded_on} were made up to ${counted(facts.worst_minutes, 'minute')} later ` +
      'than they were recorded.',
    mend: 'Set the date and time of the device; its times stay as they are, beside the server’s.',
  },
  late_entry: {
    title: 'Entries came in late',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `${counted(facts.entries, 'entry', 'entries')} of ${nameOf(facts.device_id)} recorded on ` +
      `${facts.recorded_on} tell of what happened up to ` +
      `${counted(Math.floor(facts.worst_minutes / 1440), 'day')} before.`,
    mend: 'Nothing, if it was written down late on purpose; else have devices send every day.',
  },
}
