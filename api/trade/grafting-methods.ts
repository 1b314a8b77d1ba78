// Methods of grafting that are offered before a nursery has used any; any other may be written.

export const graftingMethods = [
  'chip bud',
  'T-bud',
  'cleft',
  'whip and tongue',
  'bark',
  'side',
  'green splice',
  'omega',
] as const
