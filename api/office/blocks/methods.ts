// Methods and ties offered while typing; any other may be written.

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

export const ties = [
  'elastic grafting tape',
  'PVC grafting tape',
  'parafilm',
  'raffia',
  'rubber strip',
] as const

/** Why a vine may be passed over. */
export const skipReasons = ['too thin', 'missing', 'dead', 'diseased', 'broken', 'no sap'] as const
