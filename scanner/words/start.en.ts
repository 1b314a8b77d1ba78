// English: first start, enrolment, waiting for the office, a revoked phone, and who works.

export const START_EN = {
  'app.name': 'Canemark',
  'app.broken.what': 'The app could not open its store on this phone.',
  'app.broken.todo':
    'Private windows keep nothing: open it in an ordinary window. If it stays so, show this to ' +
    'the office. Do not clear the browser’s data: unsent entries are in it.',

  'start.language': 'Language',
  'start.layout': 'Units and hand',
  'start.temperature': 'Temperature in',
  'start.celsius': '°C',
  'start.fahrenheit': '°F',
  'start.lengths': 'Lengths in',
  'start.millimetres': 'mm',
  'start.inches': 'inches',
  'start.hand': 'Which hand holds the phone?',
  'start.left': 'Left',
  'start.right': 'Right',
  'start.keep': 'Keep what you enter',
  'start.keep.about':
    'Entries stay on this phone until the office has them. Ask the browser to keep them for good.',
  'start.keep.install':
    'On an iPhone or iPad: add this page to the home screen first, open it from there, and enrol ' +
    'there. Safari may clear what a page keeps after seven days without use.',
  'start.keep.ask': 'Ask the browser',
  'start.keep.promised': 'The browser promised to keep the entries.',
  'start.keep.refused':
    'The browser did not promise it. The app works all the same: send your entries every day, ' +
    'and add the app to the home screen.',

  'enrol.title': 'Enrol this phone',
  'enrol.about':
    'The office makes a code that lives ten minutes. Point the camera at it or type it.',
  'enrol.ask': 'Point the camera at the office’s symbol',
  'enrol.typed': 'Enrolment code',
  'enrol.send': 'Enrol',
  'enrol.notOne.what': 'This is not an enrolment code.',
  'enrol.notOne.todo': 'It has {length} characters and stands beside the office’s symbol.',
  'enrol.wrong.what': 'The office does not know this code.',
  'enrol.wrong.todo': 'It may be older than ten minutes or used already. Ask for a new one.',
  'enrol.noNetwork.what': 'No network. Enrolling needs one.',
  'enrol.noNetwork.todo': 'Go where there is a network and press again; the code stays typed.',
  'enrol.serverTrouble.what': 'The server does not answer as it should.',
  'enrol.serverTrouble.todo': 'Wait a minute and press again. If it stays so, tell the office.',
  'enrol.tooMany.what': 'Too many tries.',
  'enrol.tooMany.todo': 'Wait ten minutes, then ask the office for a new code.',

  'waiting.title': 'Show this to the office',
  'waiting.about':
    'The office compares these letters with its own and lets the phone in. If they differ, say no.',
  'waiting.name': 'Phone {name}',
  'waiting.again': 'Ask again',
  'waiting.still': 'The office has not let this phone in yet.',

  'revoked.title': 'The office has stopped this phone',
  'revoked.about':
    'Nothing new can be written. What was not sent is still here: save it as a file and give it ' +
    'to the office.',
  'revoked.again': 'Enrol again',

  'person.title': 'Who works with this phone now?',
  'person.about': 'Each entry carries this name from now on. Earlier entries keep theirs.',
  'person.none':
    'No names yet. They come with the records: go where there is a network and fetch them.',
  'person.search': 'Find a name',
} as const
