// Ties and reasons offered while typing; any other may be written.

export const ties = [
  'elastic grafting tape',
  'PVC grafting tape',
  'parafilm',
  'raffia',
  'rubber strip',
] as const

/** Why a vine may be passed over. */
export const skipReasons = ['too thin', 'missing', 'dead', 'diseased', 'broken', 'no sap'] as const
