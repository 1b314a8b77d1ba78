// English: blades, taken up and disinfected; single vines skipped.

export const TOOL_EN = {
  'tool.title': 'Disinfect a blade',
  'tool.withWhat': 'Disinfect with what?',
  'tool.caution':
    'Wipe sap and soil off first: dirt uses it up. Follow its label, keep it off skin and eyes, ' +
    'never mix two of them, and cut away from your hand.',
  'tool.again': 'Again with {what}',
  'tool.other': 'With something else',
  'tool.saved': 'Blade disinfected, saved',
  'tool.done': 'Blade disinfected',
  'tool.noKnife': 'The blade in my hand',
  'tool.takeTitle': 'Graft with this knife',
  'tool.taken': 'Grafts from now on are with {knife}',
  'skip.title': 'Skip a vine',
  'skip.saved': 'Vine {vine} skipped, saved',
  'skip.why': 'Vine {vine}: why skip it?',
} as const
