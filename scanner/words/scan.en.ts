// English: reading tags, and what is said of every text that a camera or a hand may give.

export const SCAN_EN = {
  'reader.ask': 'Point the camera at a tag',
  'reader.lamp': 'Lamp',
  'reader.typed': 'Or type the code on the tag',
  'reader.find': 'Find',

  'camera.denied':
    'The camera is not allowed. Allow it in the phone’s settings for this page, or type the code.',
  'camera.absent': 'This phone shows no camera. Type the code, or use a reader that types.',
  'camera.inUse': 'Another app holds the camera. Close that app, or type the code.',
  'camera.notSecure':
    'The camera needs an address that begins with https. Ask the office, or type the code.',
  'camera.noDecoder': 'The camera’s reader did not start. Open the app again, or type the code.',

  'which.title': 'Which tag?',
  'which.about': 'More than one is in view. Nothing is chosen for you.',
  'which.none': 'None of these',

  'thing.bundleOf': 'Bundle of lot {lot}',
  'thing.clone': 'clone {clone}',
  'thing.class': 'class {name}',

  'found.noTag': 'Not one of our tags',
  'found.mistyped': 'A code with a slip',
  'found.tag': 'Tag {code}',
  'found.handover': 'A handover',
  'found.notThis.what': 'This is not what is asked for here.',
  'found.notThis.todo': 'Scan another tag.',
  'found.unbound.what': 'This tag is not bound to anything yet.',
  'found.unbound.todo':
    'If it hangs on wood, do not use the wood: ask the office what it is. New tags are bound ' +
    'when wood is cut.',
  'found.ended.what': 'This tag’s use has ended.',
  'found.ended.todo': 'Do not use what it hangs on until the office has said what it is.',
  'found.spoiled.what': 'This tag was reported spoiled.',
  'found.spoiled.todo': 'Do not use what it hangs on until it carries a new tag.',
  'found.unknown.what': 'This phone does not know this tag.',
  'found.unknown.todo':
    'It may be newer than the records on this phone. Fetch the records where there is a network, ' +
    'or ask the office. Until then do not use the wood.',
  'found.otherNursery.what': 'This is a tag of another nursery.',
  'found.otherNursery.todo': 'Wood that came in gets a tag of ours first: ask the office.',
  'found.foreignWeb.what': 'This is a web address, not a tag. It was not opened.',
  'found.foreignWeb.todo': 'Scan the tag on the bundle, lot, row or place.',
  'found.foreignWifi.what': 'This is a Wi-Fi code, not a tag. Nothing was joined.',
  'found.foreignWifi.todo': 'Scan the tag on the bundle, lot, row or place.',
  'found.foreignText.what': 'This is not one of our tags.',
  'found.foreignText.todo': 'Scan the tag on the bundle, lot, row or place.',
  'found.journalProof.what': 'This is a journal proof, not a tag. It hangs on no wood.',
  'found.journalProof.todo':
    'Keep it with the delivery: it shows later that the nursery’s journal was not rewritten. ' +
    'Scan the tag on the bundle, lot, row or place.',

  'slip.length.what': 'A code has {expected} characters; this has {length}.',
  'slip.short.todo': 'A character is missing. Compare it with the tag, group by group.',
  'slip.long.todo': 'There is a character too many. Compare it with the tag, group by group.',
  'slip.letter.what': '“{character}” is in no code.',
  'slip.letter.todo': 'Codes have digits and letters, but no I, L, O or U.',
  'slip.check.what': 'One character does not fit the others: misread or mistyped.',
  'slip.check.todo': 'Compare it with the tag, group by group.',
  'slip.group.todo': 'Look again at group {groups}.',
} as const
