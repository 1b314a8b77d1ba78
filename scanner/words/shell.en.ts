// English: the words that every screen shares, and the shell's own.

export const SHELL_EN = {
  'span.moment': '< 1 min',
  'span.minutes': '{count} min',
  'span.hours': '{count} h',
  'span.hoursMinutes': '{hours} h {minutes} min',
  'span.days': { one: '{count} day', other: '{count} days' },

  'count.sticks': { one: '{count} stick', other: '{count} sticks' },
  'count.buds': { one: '{count} bud', other: '{count} buds' },
  'count.bundles': { one: '{count} bundle', other: '{count} bundles' },
  'count.vines': { one: '{count} vine', other: '{count} vines' },
  'count.entries': { one: '{count} entry', other: '{count} entries' },
  'count.tags': { one: '{count} tag', other: '{count} tags' },

  'part.back': 'Back',
  'part.next': 'Next',
  'part.save': 'Save',
  'part.saving': 'Saving …',
  'part.saved': 'Saved on this phone',
  'part.cancel': 'Cancel',
  'part.yes': 'Yes',
  'part.no': 'No',
  'part.more': 'More',
  'part.less': 'Less',
  'part.clear': 'Clear',
  'part.erase': 'Erase the last digit',
  'part.other': 'Other',
  'part.step': 'Step {step} of {of}',
  'part.add': 'One more of {what}',
  'part.take': 'One fewer of {what}',
  'part.tooMany': 'At most {max}.',
  'part.tooFew': 'At least {min}.',
  'part.chosen': 'chosen',
  'part.why': 'Why',
  'part.whatToDo': 'What to do',
  'part.noReason': 'Nothing speaks against using it.',
  'part.moreReasons': { one: '{count} more reason', other: '{count} more reasons' },
  'part.notJudged': 'Not judged: this phone does not know the lot.',

  'kind.lot': 'Lot',
  'kind.bundle': 'Bundle',
  'kind.place': 'Place',
  'kind.row': 'Row',
  'kind.source': 'Source',
  'kind.knife': 'Knife',
  'kind.bath': 'Bath',

  'write.storageFull.what': 'Not saved: the phone’s storage is full.',
  'write.storageFull.todo':
    'Nothing was lost that was saved before. Free some space (photos, videos), then press again.',
  'write.storageBroken.what': 'Not saved: the phone’s storage does not answer.',
  'write.storageBroken.todo':
    'Close the app and open it again, then press again. If it stays so, write it on paper and ' +
    'tell the office.',
  'write.notEnrolled.what': 'Not saved: this phone is not enrolled.',
  'write.notEnrolled.todo': 'Ask the office for an enrolment code.',
  'write.badEntry.what': 'Not saved: something that was typed cannot be kept.',
  'write.badEntry.todo':
    'A text may be too long or hold a character that does not print. Mend it, then press again.',
  'write.noPerson.what': 'Not saved: nobody is chosen.',
  'write.noPerson.todo': 'Choose who works with this phone, then press again.',
} as const
